"""Records of what makers say: their safety data sheets and the words on their labels."""

from collections.abc import Iterable
from datetime import date
from typing import TypeVar

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.models import Item
from safety.models import DataSheet, LabelStatement
from safety.models.data_sheet import Stated
from safety.queries.reference import phrasebook
from safety.rules.classify import SIGNS
from safety.rules.statements import Kind, Phrasebook, bare_code
from safety.rules.typed_codes import TypedCodesError, read_codes
from studio.models import User

Record = TypeVar("Record", bound=Stated)
Problems = dict[str, list[ValidationError]]


@transaction.atomic
def record_sheet(
    item: Item,
    *,
    by: User,
    product: str,
    read_on: date,
    revised_on: date | None = None,
    jurisdiction: str = "",
    signal_word: str = "",
    h_codes: str = "",
    p_codes: str = "",
    pictograms: Iterable[str] = (),
    says_not_classified: bool = False,
    notes: str = "",
) -> DataSheet:
    """Record what a maker's sheet says; older revisions stay. ValidationError names the field, value and remedy."""
    sheet = DataSheet(
        item=item,
        by=by,
        product=" ".join(product.split()),
        read_on=read_on,
        revised_on=revised_on,
        jurisdiction=" ".join(jurisdiction.split()),
        signal_word=signal_word,
        says_not_classified=says_not_classified,
        notes=notes,
    )
    problems = _take_over(sheet, h_codes, p_codes, pictograms)
    if revised_on and revised_on > read_on:
        message = f"The sheet was revised on {revised_on}, after it was read on {read_on}: check both dates."
        problems.setdefault("revised_on", []).append(ValidationError(message, code="revised_on"))
    kept = sheet.h_code_list if "h_codes" not in problems else ()
    hazards = [code for code in kept if not bare_code(code).startswith("EUH")]
    if says_not_classified and hazards:
        message = (
            f"A sheet that gives {', '.join(hazards)} does classify the product: take the tick away, or the codes. "
            "EUH statements may stand on a sheet that says not classified."
        )
        problems.setdefault("says_not_classified", []).append(ValidationError(message, code="says_not_classified"))
    return _store(sheet, problems)


@transaction.atomic
def record_label_statement(
    item: Item,
    *,
    by: User,
    read_on: date,
    text: str = "",
    h_codes: str = "",
    p_codes: str = "",
    signal_word: str = "",
    pictograms: Iterable[str] = (),
    notes: str = "",
) -> LabelStatement:
    """Record the words of a label as they are printed; earlier records stay."""
    label = LabelStatement(item=item, by=by, read_on=read_on, text=text.strip(), signal_word=signal_word, notes=notes)
    return _store(label, _take_over(label, h_codes, p_codes, pictograms))


def _take_over(record: DataSheet | LabelStatement, h_codes: str, p_codes: str, pictograms: Iterable[str]) -> Problems:
    """Put typed codes and signs into a record as they are printed, and tell what cannot be kept."""
    book, problems = phrasebook(), Problems()
    record.h_codes = _codes(h_codes, book, ("H", "EUH"), "h_codes", problems)
    record.p_codes = _codes(p_codes, book, ("P",), "p_codes", problems)
    signs = set(pictograms)
    if strange := sorted(signs - set(SIGNS)):
        message = f"{strange[0]!r} is not a GHS sign: choose among {', '.join(SIGNS)}."
        problems["pictograms"] = [ValidationError(message, code="pictograms")]
    record.pictograms = ";".join(sign for sign in SIGNS if sign in signs)
    today = timezone.localdate()
    if record.read_on > today:
        message = f"{record.read_on} is in the future: enter the day on which it was read, today or earlier."
        problems["read_on"] = [ValidationError(message, code="read_on")]
    return problems


def _codes(typed: str, book: Phrasebook, kinds: tuple[Kind, ...], name: str, problems: Problems) -> str:
    try:
        return "; ".join(read_codes(typed, book, kinds))
    except TypedCodesError as error:
        problems[name] = [ValidationError(problem, code=name) for problem in error.problems]
        return typed


def _store(record: Record, problems: Problems) -> Record:
    """Check the whole record, so that everything that is wrong is told at once; then save it."""
    try:
        record.full_clean(exclude=list(problems))
    except ValidationError as error:
        for name, errors in error.error_dict.items():
            problems.setdefault(name, []).extend(errors)
    if problems:
        raise ValidationError(problems)
    record.save()
    return record


@transaction.atomic
def withdraw(record: Record, *, by: User, why: str) -> Record:
    """Take back a record that was a mistake; it stays, with who took it back and why."""
    reason = " ".join(why.split())
    if not reason:
        raise ValidationError(
            {"why": ValidationError("Say what was wrong with it, such as: wrong product.", code="why")}
        )
    if len(reason) > 200:
        raise ValidationError({"why": ValidationError("Say it in at most 200 letters.", code="why")})
    now = timezone.now()
    standing = type(record)._default_manager.filter(pk=record.pk, withdrawn_at=None)
    if not standing.update(withdrawn_at=now, withdrawn_by=by, withdrawn_why=reason):
        raise ValidationError({"__all__": ValidationError("This record is already withdrawn.", code="withdrawn")})
    record.refresh_from_db()
    return record

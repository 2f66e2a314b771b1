"""Records of what makers say: their safety data sheets and the words on their labels."""

from collections.abc import Iterable
from datetime import date
from typing import TypeVar

from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.utils import timezone

from inventory.models import Item
from safety.models import DataSheet, LabelStatement, PrintedSo
from safety.models.data_sheet import Stated
from safety.queries.reference import phrasebook
from safety.rules.classify import SIGNS
from safety.rules.sheet_checks import unknown_key
from safety.rules.statements import Kind, Phrasebook, bare_code, split_cell
from safety.rules.typed_codes import ReadCodes, TypedCodesError, read_printed
from safety.services import files
from studio.models import User

Record = TypeVar("Record", bound=Stated)
Problems = dict[str, list[ValidationError]]


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
    other_hazards: str = "",
    ufi: str = "",
    conformity: str = "",
    review_on: date | None = None,
    printed_so: bool = False,
    file: UploadedFile | None = None,
) -> DataSheet:
    """Record what a maker's sheet says, with its file; older revisions stay.

    Codes that no statement stands for are refused unless somebody says that they are `printed_so`; then they are kept
    apart from the others. ValidationError names the field, value and remedy, and nothing is kept.
    """
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
        other_hazards=" ".join(other_hazards.split()),
        ufi=" ".join(ufi.split()),
        conformity=" ".join(conformity.split()),
        review_on=review_on,
    )
    problems = _take_over(sheet, h_codes, p_codes, pictograms, printed_so=printed_so)
    if review_on and review_on <= timezone.localdate():
        message = f"{review_on} is past or today: enter a later day on which to look for a newer revision, or none."
        problems["review_on"] = [ValidationError(message, code="review_on")]
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
    try:
        with files.keeping(file) as stored, transaction.atomic():
            _still_kept(item)
            _store(sheet, problems)
            PrintedSo.objects.bulk_create(
                PrintedSo(sheet=sheet, question=unknown_key(code), by=by) for code in sheet.unknown_code_list
            )
            if stored:
                files.name_in_row(stored, sheet, by)
    except ValidationError as error:
        # What is wrong with the file is told together with what is wrong with the rest.
        raise ValidationError({**problems, **error.error_dict}) from error
    return sheet


def _still_kept(item: Item) -> None:
    """Refuse what somebody else took off the lists, or away, while this was typed."""
    now = Item.objects.select_for_update().filter(pk=item.pk).values_list("archived_at", flat=True)
    if not now:
        message = f"{item.name} was taken away by somebody else meanwhile: nothing was recorded."
        raise ValidationError({"__all__": ValidationError(message, code="gone")})
    if (archived := now[0]) is not None:
        message = (
            f"{item.name} was taken off the lists on {timezone.localdate(archived)}: nothing was recorded. Bring it "
            "back on its own page, then record this."
        )
        raise ValidationError({"__all__": ValidationError(message, code="archived")})


@transaction.atomic
def look_again(sheet: DataSheet, *, by: User, review_on: date | None = None) -> DataSheet:
    """Say that somebody made sure today that no newer revision is out, and when to look again."""
    today = timezone.localdate()
    if review_on and review_on <= today:
        message = f"{review_on} is past or today: enter a later day, or none."
        raise ValidationError({"review_on": ValidationError(message, code="review_on")})
    standing = DataSheet.objects.filter(pk=sheet.pk, withdrawn_at=None)
    if not standing.update(looked_on=today, looked_by=by, review_on=review_on):
        message = "This record was withdrawn meanwhile: look at the item's page for the one that counts."
        raise ValidationError({"__all__": ValidationError(message, code="withdrawn")})
    sheet.refresh_from_db()
    return sheet


@transaction.atomic
def say_printed_so(sheet: DataSheet, *, question: str, by: User) -> PrintedSo:
    """Answer a question about a sheet: it is printed so. The record does not change; said twice, the first counts."""
    if not 0 < len(question) <= 80:
        message = "Answer one of the questions that stand beside the sheet."
        raise ValidationError({"question": ValidationError(message, code="question")})
    answer, _ = PrintedSo.objects.get_or_create(sheet=sheet, question=question, defaults={"by": by})
    return answer


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
    seal: str = "",
    conformity: str = "",
) -> LabelStatement:
    """Record the words of a label as they are printed; earlier records stay."""
    label = LabelStatement(
        item=item,
        by=by,
        read_on=read_on,
        text=text.strip(),
        signal_word=signal_word,
        notes=notes,
        seal="; ".join(split_cell(seal.replace(",", ";"))),
        conformity=" ".join(conformity.split()),
    )
    problems = _take_over(label, h_codes, p_codes, pictograms)
    _still_kept(item)
    return _store(label, problems)


def _take_over(
    record: DataSheet | LabelStatement,
    h_codes: str,
    p_codes: str,
    pictograms: Iterable[str],
    *,
    printed_so: bool = False,
) -> Problems:
    """Put typed codes and signs into a record as they are printed, and tell what cannot be kept."""
    book, problems = phrasebook(), Problems()
    hazards = _codes(h_codes, book, ("H", "EUH"), "h_codes", problems, printed_so=printed_so)
    precautions = _codes(p_codes, book, ("P",), "p_codes", problems, printed_so=printed_so)
    record.h_codes = "; ".join(hazards.known) if "h_codes" not in problems else h_codes
    record.p_codes = "; ".join(precautions.known) if "p_codes" not in problems else p_codes
    if isinstance(record, DataSheet):
        record.unknown_codes = "; ".join(dict.fromkeys((*hazards.unknown, *precautions.unknown)))
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


def _codes(
    typed: str, book: Phrasebook, kinds: tuple[Kind, ...], name: str, problems: Problems, *, printed_so: bool
) -> ReadCodes:
    try:
        return read_printed(typed, book, kinds, printed_so=printed_so)
    except TypedCodesError as error:
        # The code tells a form whether "it is printed so" is an answer.
        code = "misplaced" if error.misplaced else "unknown"
        problems[name] = [ValidationError(problem, code=code) for problem in error.problems]
        return ReadCodes(())


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

"""Reads the pigment list of a label: codes, constitution numbers, fillers, and what has to be asked."""

import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace

from .doubts import Doubt, Option, Severity, shown, too_long
from .folding import Folded, bare_letters, fold, says_nothing
from .listing import Item, ItemKind, list_items
from .names import name_claims
from .naming import name_doubts, shade_doubt
from .questions import MOST_OPTIONS, Context, question, unknown_number
from .readings import Filler, PigmentReading, ReadPigment, Unresolved
from .vocabulary import EXTENDERS, Vocabulary

_EMPTY_PREFIX = re.compile(r"(?:p|n)(?:w|y|o|r|v|b|g|br|bk|m)?\b[ .:]{0,3}|(?:c\.? ?i\.?|pigments?)[ .:]{1,3}")


@dataclass(slots=True)
class _Reader:
    folded: Folded
    context: Context
    chosen: Mapping[str, str]
    pigments: list[ReadPigment] = field(default_factory=list)
    fillers: list[Filler] = field(default_factory=list)
    unresolved: list[Unresolved] = field(default_factory=list)
    doubts: list[Doubt] = field(default_factory=list)
    incomplete: bool = False
    position: int = 0


def read_pigments(
    text: str,
    *,
    vocabulary: Vocabulary,
    name: str = "",
    chosen: Mapping[str, str] | None = None,
    elsewhere: Collection[str] = (),
) -> PigmentReading:
    """Read what a label says of its pigments. The name raises doubts and sorts suggestions; it never sets a code.

    `chosen` holds the person's answers, an option's value under its doubt's `key`; a value may be several codes joined
    by "+", or empty to leave the part out. `elsewhere` holds codes that other lists give for the same tube: they come
    first among suggestions.
    """
    long = too_long(text, "pigment list")
    if long:
        return PigmentReading(text, name, doubts=(long,))
    reader = _Reader(fold(text), Context(name, name_claims(name), vocabulary, elsewhere), chosen or {})
    items = [] if says_unknown(text) else list_items(reader.folded, vocabulary)
    items = _settle_alternatives(reader, items)
    _spread_numbers(items, vocabulary)
    for item in items:
        _read_item(reader, item)
    _drop_doubles(reader)
    _read_names(reader)
    return PigmentReading(
        text,
        name,
        tuple(reader.pigments),
        tuple(reader.fillers),
        tuple(reader.unresolved),
        tuple(reader.doubts),
        reader.incomplete,
    )


def says_unknown(text: str) -> bool:
    """True for a cell that says there is no pigment to name: blank, "none", "---", also "PR N/A"."""
    if says_nothing(text):
        return True
    words = bare_letters(text[:80]).strip()
    prefix = _EMPTY_PREFIX.match(words)
    return len(text) <= 80 and prefix is not None and says_nothing(words[prefix.end() :])


# Alternatives


def _settle_alternatives(reader: _Reader, items: list[Item]) -> list[Item]:
    """Ask where the text offers a choice of pigments; what is not chosen does not count as listed."""
    kept: list[Item] = []
    for group in _groups(items):
        if len(group) == 1:
            kept += group[0]
            continue
        options = [Option("+".join(_written(item) for item in part), _part_label(part)) for part in group]
        every = [item for part in group for item in part]
        options.append(Option("+".join(_written(item) for item in every), f"All of them: {_part_label(every)}"))
        as_typed = reader.folded.as_typed(every[0].start, every[-1].end)
        message = f"{shown(as_typed)} names alternatives. Choose which the tube holds."
        doubt = Doubt("alternatives", Severity.ASK, message, as_typed, tuple(options))
        choice = reader.chosen.get(doubt.key)
        part = next((part for part, option in zip([*group, every], options, strict=True) if option[0] == choice), None)
        if part is None:
            kept.append(Item(ItemKind.OPEN, every[0].start, every[-1].end, doubt=doubt))
        else:
            kept += [replace(item, is_short=False) for item in part]
    return kept


def _groups(items: list[Item]) -> Iterable[list[list[Item]]]:
    """Runs of items that are alternatives to one another; a run of one part is no alternative."""
    run: list[list[Item]] = []
    for item in items:
        if run and item.alternative_to_previous:
            run.append([item])
        elif run and item.block is not None and run[-1][-1].block is not None:
            run[-1].append(item) if run[-1][-1].block == item.block else run.append([item])
        else:
            if run:
                yield run
            run = [[item]]
    if run:
        yield run


def _written(item: Item) -> str:
    return item.code or item.text


def _part_label(items: list[Item]) -> str:
    return ", ".join(_written(item) for item in items)


# Constitution numbers


def _spread_numbers(items: list[Item], vocabulary: Vocabulary) -> None:
    """Give each typed constitution number to the code of the list that it belongs to; else it stays where it stood."""
    codes = [item for item in items if item.kind is ItemKind.CODE]
    for item in [*items]:
        for number in [*item.numbers]:
            owners = {pigment.ci_name for pigment in vocabulary.with_number(number)}
            owner = next((other for other in codes if _owned(other, owners, vocabulary)), None)
            if owner is None or owner is item or (item.kind is ItemKind.CODE and _owned(item, owners, vocabulary)):
                continue
            item.numbers.remove(number)
            owner.numbers.append(number)
            if item.kind is ItemKind.NUMBER:
                items.remove(item)


def _owned(item: Item, owners: set[str], vocabulary: Vocabulary) -> bool:
    if item.code in owners or item.code in vocabulary:
        return item.code in owners
    return any(owner.partition(":")[0] == item.code for owner in owners if ":" in owner)


# One item after the other


def _read_item(reader: _Reader, item: Item) -> None:
    typed = reader.folded.as_typed(item.start, item.end)
    if item.kind is ItemKind.FILLER:
        reader.fillers.append(Filler(typed, reader.position))
        message = f"{shown(typed)} is a filler: it is kept, and does not count as a pigment."
        reader.doubts.append(Doubt("filler", Severity.NOTE, message, typed))
    elif item.kind is ItemKind.WORDS:
        _read_words(reader, item, typed)
    else:
        doubt = item.doubt or question(reader.context, item, typed)
        if doubt is None:
            _note_spelling(reader, item, typed)
            noted = unknown_number(reader.context, item)
            reader.doubts += [noted] if noted else []
            _accept(reader, item, item.code, typed)
        else:
            _ask(reader, item, doubt, typed)
    reader.position += 1


def _ask(reader: _Reader, item: Item, doubt: Doubt, typed: str) -> None:
    choice = reader.chosen.get(doubt.key)
    codes = None if choice is None else _chosen_codes(reader, doubt, choice)
    if codes is None:
        family = item.code if doubt.code == "bare-family" else ""
        reader.unresolved.append(Unresolved(typed, reader.position, doubt, family))
        reader.doubts.append(doubt)
        return
    for code in codes:
        _accept(reader, item, code, typed)


def _chosen_codes(reader: _Reader, doubt: Doubt, choice: str) -> list[str] | None:
    """The codes of an answer, or None where the answer fits neither the options nor the vocabulary."""
    codes = [code.strip() for code in choice.split("+") if code.strip()]
    offered = {option.value for option in doubt.options}
    if choice in offered or (codes and all(code in reader.context.vocabulary for code in codes)):
        return codes
    return None


def _accept(reader: _Reader, item: Item, code: str, typed: str) -> None:
    known = reader.context.vocabulary.get(code)
    reader.pigments.append(
        ReadPigment(
            code,
            typed,
            reader.position,
            reader.folded.origin[item.start],
            reader.folded.origin[item.end],
            tuple(item.numbers),
            "; ".join(item.notes),
            listed=known is not None,
            extender=code in EXTENDERS or (known is not None and known.extender),
        )
    )


def _note_spelling(reader: _Reader, item: Item, typed: str) -> None:
    def note(code: str, why: str) -> None:
        reader.doubts.append(Doubt(code, Severity.READ_AS, f"{shown(typed)} is read as {item.code}: {why}.", typed))

    if item.odd_mark:
        note("odd-mark", f"“{item.odd_mark}” stands where the Colour Index writes a colon")
    if item.letters_as_digits:
        note("letter-as-digit", "a letter is read as a digit, or a digit as a letter")
    if item.look_alikes:
        note("look-alike", "it has letters of another alphabet that look like Latin ones")


def _read_words(reader: _Reader, item: Item, typed: str) -> None:
    """Words without a code: offer the pigments of that name, or leave them aside, shown."""
    named = reader.context.vocabulary.named(typed)
    if not named:
        message = f"{shown(typed)} holds no pigment code; it is kept as typed and not read."
        if item.joined:
            message = f"{shown(typed)} stands where a pigment would stand, and its code is not given: it is unknown."
            reader.incomplete = True
        reader.doubts.append(Doubt("left-aside", Severity.NOTE, message, typed))
        return
    options = (
        *(Option(p.ci_name, p.label) for p in named[:MOST_OPTIONS]),
        Option("", "Leave it out; the pigment stays unknown"),
    )
    message = f"{shown(typed)} is a name and no code. Choose the code that the tube prints, if it prints one."
    _ask(reader, item, Doubt("name-only", Severity.ASK, message, typed, options), typed)


def _drop_doubles(reader: _Reader) -> None:
    seen: dict[str, ReadPigment] = {}
    for pigment in reader.pigments:
        if pigment.code in seen:
            message = f"{pigment.code} is listed twice and counts once."
            reader.doubts.append(Doubt("listed-twice", Severity.NOTE, message, pigment.as_typed))
        else:
            seen[pigment.code] = pigment
    reader.pigments = list(seen.values())


def _read_names(reader: _Reader) -> None:
    """Hold the name against the codes, and ask for the shade where one code is sold as several colours."""
    if not reader.pigments and not reader.unresolved:
        reader.doubts.append(_no_code(reader))
        return
    reader.pigments = [_with_shade(reader, pigment) for pigment in reader.pigments]
    words = " ".join([reader.context.name, *(p.note for p in reader.pigments if len(reader.pigments) == 1)])
    codes = [pigment.code for pigment in reader.pigments if not pigment.extender]
    for doubt in name_doubts(
        words.strip(), codes, reader.context.vocabulary, complete=not (reader.unresolved or reader.incomplete)
    ):
        choice = reader.chosen.get(doubt.key)
        if choice in {option.value for option in doubt.options}:
            old = doubt.value
            reader.pigments = [
                replace(p, code=choice, shade=None) if p.code == old and choice != old else p for p in reader.pigments
            ]  # fmt: skip
        else:
            reader.doubts.append(doubt)


def _with_shade(reader: _Reader, pigment: ReadPigment) -> ReadPigment:
    alone = sum(not p.extender for p in reader.pigments) == 1 and not (reader.unresolved or reader.incomplete)
    words = f"{reader.context.name} {pigment.note}"
    shade, doubt = shade_doubt(pigment.code, words, reader.context.vocabulary, alone=alone)
    if doubt is None:
        return replace(pigment, shade=shade)
    choice = reader.chosen.get(doubt.key)
    if choice is not None and choice in {option.value for option in doubt.options}:
        return replace(pigment, shade=choice or None)
    reader.doubts.append(doubt)
    return pigment


def _no_code(reader: _Reader) -> Doubt:
    about = f"{shown(reader.context.name)} has no pigment code" if reader.context.name else "There is no pigment code"
    message = (
        f"{about}, so its pigments are unknown: it counts in stock and not in coverage. "
        "Enter the codes from the tube, or ask the maker for the data sheet."
    )
    return Doubt("no-code", Severity.NOTE, message, reader.folded.typed)

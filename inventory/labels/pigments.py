"""Reads the pigment list of a label: codes, constitution numbers, fillers, and what has to be asked."""

import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace

from .doubts import Doubt, Option, Severity, settled, shown, too_long
from .folding import Folded, bare_letters, fold, says_nothing
from .listing import Item, ItemKind, list_items
from .names import NameClaims, name_claims, words_of
from .naming import name_doubts, shade_doubt
from .vocabulary import KnownPigment, Vocabulary

_EMPTY_PREFIX = re.compile(r"(?:p|n)(?:w|y|o|r|v|b|g|br|bk|m)?\b[ .:]{0,3}|(?:c\.? ?i\.?|pigments?)[ .:]{1,3}")
_MOST_OPTIONS = 8


@dataclass(frozen=True, slots=True)
class ReadPigment:
    """One pigment of a label.

    `start` and `end` are its place in the typed text; `position` counts pigments and open questions from 0.
    """

    code: str
    as_typed: str
    position: int
    start: int = 0
    end: int = 0
    numbers: tuple[str, ...] = ()
    note: str = ""
    listed: bool = True  # False for a code that the person kept although the vocabulary does not have it
    extender: bool = False
    shade: str | None = None


@dataclass(frozen=True, slots=True)
class Filler:
    """Something that gives body and no colour, named in words."""

    as_typed: str
    position: int


@dataclass(frozen=True, slots=True)
class Unresolved:
    """A part of the list that is no fact until the person chooses; `doubt` holds the options."""

    as_typed: str
    position: int
    doubt: Doubt
    family: str = ""

    @property
    def options(self) -> tuple[Option, ...]:
        return self.doubt.options


@dataclass(frozen=True, slots=True)
class PigmentReading:
    text: str
    name: str = ""
    pigments: tuple[ReadPigment, ...] = ()
    fillers: tuple[Filler, ...] = ()
    unresolved: tuple[Unresolved, ...] = ()
    doubts: tuple[Doubt, ...] = ()

    @property
    def codes(self) -> tuple[str, ...]:
        return tuple(pigment.code for pigment in self.pigments)

    @property
    def written(self) -> str:
        """The codes as standards write them, in label order."""
        return ", ".join(self.codes)

    @property
    def unknown(self) -> bool:
        """True when the label names no pigment and nothing is open: unknown, never "free of" anything."""
        return not self.pigments and not self.unresolved

    @property
    def is_settled(self) -> bool:
        return settled(self.doubts)

    @property
    def colouring(self) -> tuple[str, ...]:
        """The codes that give the colour: without extenders, unless there is nothing else."""
        return tuple(p.code for p in self.pigments if not p.extender) or self.codes

    @property
    def single_pigment(self) -> bool | None:
        """Whether one pigment gives the colour, extenders and fillers aside; None while unknown or open."""
        if self.unknown or self.unresolved:
            return None
        return len(self.colouring) == 1


@dataclass(slots=True)
class _Reader:
    folded: Folded
    name: str
    claims: NameClaims
    vocabulary: Vocabulary
    chosen: Mapping[str, str]
    elsewhere: Collection[str]
    pigments: list[ReadPigment] = field(default_factory=list)
    fillers: list[Filler] = field(default_factory=list)
    unresolved: list[Unresolved] = field(default_factory=list)
    doubts: list[Doubt] = field(default_factory=list)
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
    reader = _Reader(fold(text), name, name_claims(name), vocabulary, chosen or {}, elsewhere)
    items = [] if says_unknown(text) else list_items(reader.folded, vocabulary)
    items = _settle_alternatives(reader, items)
    _spread_numbers(items, vocabulary)
    for item in items:
        _read_item(reader, item)
    _drop_doubles(reader)
    _read_names(reader)
    return PigmentReading(
        text, name, tuple(reader.pigments), tuple(reader.fillers), tuple(reader.unresolved), tuple(reader.doubts)
    )


def says_unknown(text: str) -> bool:
    """True for a cell that says there is no pigment to name: blank, "none", "---", also "PR N/A"."""
    if says_nothing(text):
        return True
    words = bare_letters(text[:80]).strip()
    prefix = _EMPTY_PREFIX.match(words)
    return len(text) <= 80 and prefix is not None and says_nothing(words[prefix.end() :])


def check_single_pigment(typed: str, reading: PigmentReading) -> Doubt | None:
    """Compare a typed yes or no in a "single pigment" column with the listed pigments; typed text is kept."""
    said = {"yes": True, "y": True, "true": True, "1": True, "ja": True, "oui": True, "single": True}
    said |= {"no": False, "n": False, "false": False, "0": False, "nein": False, "non": False, "mixed": False}
    claimed, found = said.get(bare_letters(typed)), reading.single_pigment
    if claimed is None or found is None or claimed == found:
        return None
    message = (
        f"The list says {shown(typed)} for single pigment, but {', '.join(reading.colouring)} "
        f"{'is one pigment' if found else 'are several pigments'}. The codes count; check them against the tube."
    )
    return Doubt("single-pigment", Severity.NOTE, message, typed)


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
            kept += part
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


def _number_doubt(reader: _Reader, item: Item) -> Doubt | None:
    """A number that belongs to other pigments than its code is asked; one that nobody is known by is noted."""
    known = reader.vocabulary.get(item.code)
    for number in item.numbers:
        owners = reader.vocabulary.with_number(number)
        if known is None or known in owners:
            continue
        own = ", ".join(known.ci_numbers) or "no number that we know"
        if not owners:
            if known.ci_numbers:
                message = f"{item.code} has the constitution number {own}, but {number} is typed. Check the tube."
                reader.doubts.append(Doubt("number-unknown", Severity.NOTE, message, f"{item.code} {number}"))
            continue
        others = ", ".join(owner.label for owner in owners)
        message = (
            f"{item.code} and {number} do not belong together: {item.code} has {own}, and {number} is {others}. "
            "Choose what the tube says."
        )
        options = [Option(item.code, f"{known.label}, the number is wrong")]
        options += [Option(owner.ci_name, f"{owner.label}, the code is wrong") for owner in owners]
        options += [Option(f"{item.code}+{owner.ci_name}", f"Both {item.code} and {owner.ci_name}") for owner in owners]
        return Doubt("number-conflict", Severity.ASK, message, f"{item.code} {number}", tuple(options))
    return None


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
        doubt = item.doubt or _question(reader, item, typed)
        if doubt is None:
            _note_spelling(reader, item, typed)
            _accept(reader, item, item.code, typed)
        else:
            _ask(reader, item, doubt, typed)
    reader.position += 1


def _question(reader: _Reader, item: Item, typed: str) -> Doubt | None:
    if item.kind is ItemKind.NUMBER:
        return _bare_number(reader, item.numbers[0], typed)
    if item.code in reader.vocabulary:
        return _bare_family(reader, item, typed) or _number_doubt(reader, item)
    if reader.vocabulary.parts_of(item.code):
        return _bare_family(reader, item, typed)
    return _unknown_code(reader, item, typed)


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
    if choice in offered or (codes and all(code in reader.vocabulary for code in codes)):
        return codes
    return None


def _accept(reader: _Reader, item: Item, code: str, typed: str) -> None:
    known = reader.vocabulary.get(code)
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
            extender=known is not None and known.extender,
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


def _bare_number(reader: _Reader, number: str, typed: str) -> Doubt:
    owners = reader.vocabulary.with_number(number)
    options = tuple(Option(p.ci_name, p.label) for p in _by_name_fit(reader, owners))
    if owners:
        message = (
            f"The number {number} alone can be {' or '.join(p.label for p in owners)}. Choose which the tube names."
        )
    else:
        message = f"The number {number} is in no list that we have. Enter the pigment code from the tube."
        options = (Option("", "Leave it out; the pigment stays unknown"),)
    return Doubt("bare-number", Severity.ASK, message, typed, options)


def _bare_family(reader: _Reader, item: Item, typed: str) -> Doubt | None:
    """A code of several forms, such as PB15. One with a single sub-number (PW6, PR108) is a pigment of its own."""
    parts = reader.vocabulary.parts_of(item.code)
    listed = item.code in reader.vocabulary
    if not parts or (listed and len(parts) < 2):
        return None
    options = [Option(p.ci_name, p.label) for p in _by_name_fit(reader, parts)]
    options.append(Option(item.code, f"Just {item.code}: the tube does not say which"))
    message = (
        f"{shown(typed)} names a family ({', '.join(p.ci_name for p in parts)}) whose members differ, "
        "and the tube may say which. Choose one, or keep the family with its shade unknown."
    )
    return Doubt("bare-family", Severity.ASK, message, typed, tuple(options))


def _by_name_fit(reader: _Reader, pigments: Iterable[KnownPigment]) -> list[KnownPigment]:
    said = set(words_of(reader.name))

    def fit(pigment: KnownPigment) -> tuple[bool, int]:
        names = {word for name in pigment.common_names for word in words_of(name)}
        return pigment.hue_family not in reader.claims.families, -len(names & said)

    return sorted(pigments, key=fit)


def _unknown_code(reader: _Reader, item: Item, typed: str) -> Doubt:
    suggestions = _suggestions(reader, item)
    options = [Option(code, _joined_label(reader, code)) for code in suggestions]
    if item.is_code_like:
        what = f"{shown(typed)} is not a pigment code"
        options.append(Option("", "None of these: leave it out"))
    elif item.is_dye:
        what = f"{shown(typed)} is the code of a dye, which our pigment list does not have"
        options.append(Option(item.code, f"Keep {item.code} as the tube says; nothing is known of it"))
    else:
        what = f"{shown(typed)} is not in our list of pigments"
        options.append(Option(item.code, f"Keep {item.code} as the tube says; nothing is known of it"))
    message = f"{what}. {_did_you_mean(reader, suggestions)}"
    return Doubt("not-a-code" if item.is_code_like else "unknown-code", Severity.ASK, message, typed, tuple(options))


def _joined_label(reader: _Reader, codes: str) -> str:
    parts = codes.split("+")
    return reader.vocabulary.label(codes) if len(parts) == 1 else "Two pigments: " + " and ".join(parts)


def _did_you_mean(reader: _Reader, suggestions: list[str]) -> str:
    if not suggestions:
        return "Check the tube and type the code again, or keep it as typed."
    first = suggestions[0]
    said = f"Did you mean {first}?"
    pigment = reader.vocabulary.get(first)
    if first in reader.elsewhere:
        said += f" The same tube is listed with {first} elsewhere."
    elif pigment is not None and pigment.hue_family in reader.claims.families:
        said += f" The name {shown(reader.name)} says {pigment.hue_family}."
    return f"{said} Nothing is stored until you choose."


def _suggestions(reader: _Reader, item: Item) -> list[str]:
    """Codes one slip away; those of other lists first, then those of the colour in the name, then the same letters."""
    base, _, sub = item.code.partition(":")
    letters = base.rstrip("0123456789")
    near = list(reader.vocabulary.one_edit_from(item.code))
    if sub:
        near += [p for p in (reader.vocabulary.get(base), *reader.vocabulary.parts_of(base)) if p and p not in near]
    families = reader.claims.families

    def rank(pigment: KnownPigment) -> tuple[bool, ...]:
        code = pigment.ci_name
        return (
            code not in reader.elsewhere,
            pigment.hue_family not in families,
            code.replace(":", "") != item.code,  # only the colon is missing
            code[:1] != item.code[:1],
            not code.casefold().startswith(letters.casefold()),
            re.sub(r"\D", "", code) != re.sub(r"\D", "", item.code),
        )

    codes = [pigment.ci_name for pigment in sorted(near, key=rank)]
    joined = f"{item.slash_base}:{letters and base[len(letters) :]}" if item.slash_base else ""
    if joined in reader.vocabulary:  # PB15/PB3 may mean PB15:3
        codes = [joined, *(code for code in codes if code != joined)]
    pair = letters + sub
    if item.odd_mark and base in reader.vocabulary and pair in reader.vocabulary:  # PY42/43 may mean PY42 and PY43
        codes.insert(0, f"{base}+{pair}")
    return codes[:_MOST_OPTIONS]


def _read_words(reader: _Reader, item: Item, typed: str) -> None:
    """Words without a code: offer the pigments of that name, or leave them aside, shown."""
    named = reader.vocabulary.named(typed)
    if not named:
        message = f"{shown(typed)} holds no pigment code; it is kept as typed and not read."
        reader.doubts.append(Doubt("left-aside", Severity.NOTE, message, typed))
        return
    options = (
        *(Option(p.ci_name, p.label) for p in named[:_MOST_OPTIONS]),
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
    words = " ".join([reader.name, *(p.note for p in reader.pigments if len(reader.pigments) == 1)])
    codes = [pigment.code for pigment in reader.pigments if not pigment.extender]
    for doubt in name_doubts(words.strip(), codes, reader.vocabulary, complete=not reader.unresolved):
        choice = reader.chosen.get(doubt.key)
        if choice in {option.value for option in doubt.options}:
            old = doubt.value
            reader.pigments = [
                replace(p, code=choice, shade=None) if p.code == old and choice != old else p for p in reader.pigments
            ]  # fmt: skip
        else:
            reader.doubts.append(doubt)


def _with_shade(reader: _Reader, pigment: ReadPigment) -> ReadPigment:
    alone = sum(not p.extender for p in reader.pigments) == 1 and not reader.unresolved
    words = f"{reader.name} {pigment.note}"
    shade, doubt = shade_doubt(pigment.code, words, reader.vocabulary, alone=alone)
    if doubt is None:
        return replace(pigment, shade=shade)
    choice = reader.chosen.get(doubt.key)
    if choice is not None and choice in {option.value for option in doubt.options}:
        return replace(pigment, shade=choice or None)
    reader.doubts.append(doubt)
    return pigment


def _no_code(reader: _Reader) -> Doubt:
    about = f"{shown(reader.name)} has no pigment code" if reader.name else "There is no pigment code"
    message = (
        f"{about}, so its pigments are unknown: it counts in stock and not in coverage. "
        "Enter the codes from the tube, or ask the maker for the data sheet."
    )
    return Doubt("no-code", Severity.NOTE, message, reader.folded.typed)

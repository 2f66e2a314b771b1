"""Do we own this: what stands here of a pigment under any name, what comes near, and what it would add."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inventory.colour.appearance import difference
from inventory.colour.coverage import opened, percent
from inventory.colour.curves import Curve, curve_for, from_bands
from inventory.colour.drawdown import TINT_PARTS
from inventory.colour.matching import tinting_white
from inventory.colour.mixing import masstone_lab
from inventory.colour.palette import Palette
from inventory.colour.reach import gain
from inventory.colour.redundancy import TWIN_MASSTONE_WITHIN, TWIN_TINT_WITHIN
from inventory.colour.wheel import colour_limit
from inventory.labels import PigmentReading, Vocabulary, read_pigments, search_key
from inventory.models import OpticalRow, Tube
from inventory.queries.palette import WorkingPalette, band_row, working_palettes
from inventory.queries.reference import vocabulary
from inventory.queries.remembered import reach_of
from inventory.queries.shelf import ShelfRow, rows_where
from inventory.queries.wheel import binder_label, regions_in_words
from studio.models import Studio

MOST = 60
MOST_COLOURS = 4
LONGEST = 200
# Less than this (percentage points) is told as next to nothing.
LITTLE = 0.5


@dataclass(frozen=True)
class Group:
    """Tubes that answer in one way, most to the point first."""

    title: str
    rows: tuple[ShelfRow, ...]
    note: str = ""


@dataclass(frozen=True)
class Added:
    """What one colour would add to the wheel of a binder: percentage points, and where."""

    name: str
    points: float
    where: str

    @property
    def words(self) -> str:
        if self.points < LITTLE:
            return f"{self.name}: next to nothing ({self.points:.1f} points)."
        where = f", most of all {self.where}" if self.where else ""
        return f"{self.name}: {self.points:.1f} points more{where}."


@dataclass(frozen=True)
class Adds:
    """What one more paint of a pigment would add; `unknown` says why there is no figure."""

    binder: str
    percent: float
    added: tuple[Added, ...]
    twins: tuple[str, ...]
    unknown: str = ""


@dataclass(frozen=True)
class Owned:
    """What a typed text found. `codes` are those that were read, `doubts` what the reader is unsure of."""

    text: str
    codes: tuple[str, ...]
    labels: tuple[str, ...]
    doubts: tuple[str, ...]
    groups: tuple[Group, ...]
    finished: int
    """How many finished tubes of the same pigments are in the books."""
    owned: bool
    """True where a tube of exactly these pigments is in use."""
    any_of: bool = False
    """True where what was typed may mean any one of the codes, as a name or a constitution number does."""

    @property
    def codes_named(self) -> list[str]:
        """The pigments of what was found by its name alone."""
        return list(dict.fromkeys(code for group in self.groups for row in group.rows for code in row.codes))

    @property
    def sentence(self) -> str:
        what = (" or " if self.any_of else " + ").join(self.codes) if self.codes else f"“{self.text}”"
        if self.owned:
            count = sum(len(group.rows) for group in self.groups[:1])
            gone = sum(not row.balance_milli or bool(row.unusable) for row in self.groups[0].rows)
            but = f" {gone} of them hold{'s' if gone == 1 else ''} nothing or cannot be used." if gone else ""
            return f"Yes: {count} tube{'' if count == 1 else 's'} of {what} in use.{but}"
        if self.groups:
            return f"Not {what} alone; see below what comes near." if self.codes else f"These fit {what} by name."
        return f"Nothing of {what} is here."


def owned(studio: Studio, text: str) -> Owned:
    """What stands here of what was typed: a code, a name or a whole label. Four queries."""
    known = vocabulary()
    reading = read_pigments(text, vocabulary=known)
    codes = reading.codes or _asked(reading) or tuple(pigment.ci_name for pigment in known.named(text))
    alike = _alike(known, codes)
    wanted = {*codes, *alike}
    rows = rows_where(studio, codes=wanted, words=search_key(text).split(), limit=MOST)
    groups, taken = [], set()
    exact = [row for row in rows if codes and _exactly(row, codes, named=not reading.codes)]
    if exact:
        groups.append(Group(_title(codes, named=not reading.codes), tuple(exact)))
    taken |= {row.pk for row in exact}
    inside = [row for row in rows if row.pk not in taken and set(codes) & set(row.codes)]
    if inside:
        groups.append(Group("With other pigments beside it", tuple(inside)))
    taken |= {row.pk for row in inside}
    near = [row for row in rows if row.pk not in taken and alike & set(row.codes)]
    if near:
        notes = " ".join(one.message for code in codes for one in known.near_codes(code))
        groups.append(Group("Under a code that comes near", tuple(near), notes))
    taken |= {row.pk for row in near}
    by_name = [row for row in rows if row.pk not in taken]
    if by_name:
        note = "By name alone: read the pigments, for a name is no promise." if codes else ""
        groups.append(Group("Named so", tuple(by_name), note))
    return Owned(
        text=text,
        codes=codes,
        labels=tuple(known.label(code) for code in codes),
        doubts=_doubts(reading, codes),
        groups=tuple(groups),
        finished=_finished(studio, codes) if codes and not exact else 0,
        owned=bool(exact),
        any_of=not reading.codes and len(codes) > 1,
    )


def _asked(reading: PigmentReading) -> tuple[str, ...]:
    """The codes of which a number, a name or a family may mean any one."""
    values = (option.value for one in reading.unresolved for option in one.options)
    return tuple(dict.fromkeys(value for value in values if value and "+" not in value))


def _doubts(reading: PigmentReading, codes: Sequence[str]) -> tuple[str, ...]:
    """A name is no label: that it carries no code is not worth a word here."""
    return tuple(doubt.message for doubt in reading.doubts if reading.codes or reading.unresolved) if codes else ()


def _alike(known: Vocabulary, codes: Sequence[str]) -> set[str]:
    """Codes of the same constitution and hue, and the parts of a code such as PB15:3 of PB15."""
    found = {near.code for code in codes for near in known.near_codes(code)}
    for code in codes:
        base = code.partition(":")[0]
        found |= {base, *(part.ci_name for part in known.parts_of(base))}
    return found - set(codes)


def _exactly(row: ShelfRow, codes: Sequence[str], *, named: bool) -> bool:
    """A name may stand for several pigments, of which a tube holds one; codes are all of them."""
    held = set(row.codes)
    return len(held) == 1 and held <= set(codes) if named else held == set(codes)


def _title(codes: Sequence[str], *, named: bool) -> str:
    if len(codes) == 1:
        return f"{codes[0]} alone"
    return f"One of {', '.join(codes)} alone" if named else f"{' + '.join(codes)}, the same pigments"


def _finished(studio: Studio, codes: Sequence[str]) -> int:
    rows = Tube.objects.filter(item__studio=studio, state="empty")
    for code in codes:
        rows = rows.filter(item__paint__pigment_lines__code=code)
    return rows.distinct().count()


def what_it_adds(studio: Studio, codes: Sequence[str], binder: str = "") -> Adds | None:
    """What a paint of these pigments would add to the wheel in this binder, or in that of most paints; five queries.

    None where no paint in stock has a known colour. Inside `patience` it may raise StillWorking.
    """
    palettes = [one for one in working_palettes(studio) if len(one.palette)]
    one = next((one for one in palettes if one.binder == binder), palettes[0] if palettes else None)
    if one is None or not codes:
        return None
    candidates, unknown = _candidates(codes)
    limit = colour_limit()
    reached = reach_of(one.palette).chroma
    before = percent(reached, limit)
    added, twins = [], []
    for name, curve in candidates[:MOST_COLOURS]:
        candidate = Palette.of([(("row", name), name, curve)], one.binder)
        after = np.maximum(reached, gain(one.palette, candidate, reached))
        where = regions_in_words(opened(reached, after, limit), most=2)
        added.append(Added(name, max(0.0, percent(after, limit) - before), where))
        twins += _twins(one, candidate)
    return Adds(binder_label(one.binder), before, tuple(added), tuple(dict.fromkeys(twins)), unknown)


def _candidates(codes: Sequence[str]) -> tuple[list[tuple[str, Curve]], str]:
    """The colours that such a paint may have, with their curves; else why there is none. One query."""
    rows = list(OpticalRow.objects.filter(pigment__ci_name__in=codes).select_related("pigment"))
    if len(codes) == 1:
        if not rows:
            return [], f"What it would add is not known: no colour of {codes[0]} is recorded here."
        return [(f"{row.pigment} {row}", from_bands(band_row(row))) for row in rows], ""
    answer = curve_for(list(codes), " + ".join(codes), [band_row(row) for row in rows])
    if answer.curve is None:
        return [], f"What it would add is not known. {answer.reason}"
    return [(" + ".join(codes), answer.curve)], ""


def _twins(one: WorkingPalette, candidate: Palette) -> list[str]:
    """Paints in stock that look like it alone and tinted, by their curves."""
    apart = difference(one.palette.masstones, candidate.masstones[0])
    white = tinting_white(one.palette)
    tinted = difference(_tints(one.palette, white), _tints(candidate, white)[0])
    near = (apart <= TWIN_MASSTONE_WITHIN) & (tinted <= TWIN_TINT_WITHIN)
    return [one.palette.names[place] for place in np.flatnonzero(near)]


def _tints(palette: Palette, white: tuple[np.ndarray, np.ndarray]) -> np.ndarray:
    part, of_white = TINT_PARTS
    k, s = white
    whole = part + of_white
    return masstone_lab((part * palette.k + of_white * k) / whole, (part * palette.s + of_white * s) / whole)

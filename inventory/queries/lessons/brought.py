"""What students brought, held against the palette: by code, never by name."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np

from inventory import restrictions
from inventory.colour.appearance import difference
from inventory.colour.curves import BandRow, Curve, curve_for
from inventory.colour.drawdown import TINT_PARTS
from inventory.colour.mixing import masstone_lab, mixture_lab
from inventory.colour.redundancy import DUPLICATE_WITHIN
from inventory.colour.seek import differs
from inventory.labels import Vocabulary, read_pigments
from inventory.models import BroughtTube, Paint, Pigment
from inventory.queries.lessons.checked import LessonNow
from inventory.queries.palette import curve_of, typical_rows, with_curves
from inventory.queries.reference import vocabulary
from inventory.reading import LabelReading, LabelTexts, read_label
from inventory.restrictions import Restriction
from studio.models import Studio

# Mean of the differences alone and as a 1:9 tint, in CIEDE2000; our judgement. Above it only the hue family counts.
NEAR_WITHIN = 12.0
MOST_MIXTURES = 2


class Verdict(StrEnum):
    FITS = "fits"
    NEAR = "near"
    NOT_IN_PALETTE = "not in the palette"
    UNKNOWN = "unknown"


@dataclass(frozen=True)
class Checked:
    """One brought tube with what was read of it and how it stands to the palette."""

    row: BroughtTube
    codes: tuple[str, ...]
    verdict: Verdict
    words: str
    doubts: tuple[str, ...] = ()
    instead_of: str = ""
    mixtures: tuple[str, ...] = ()
    found: tuple[Restriction, ...] = ()
    out: str = ""
    """Why it must not be used by this group; empty where nothing here says so."""


def read_typed(text: str, known: Vocabulary, rows: Iterable[BandRow]) -> LabelReading:
    """A label read out in one line: what stands before the first code is the name."""
    first = read_pigments(text, vocabulary=known)
    starts = [one.start for one in first.pigments] + [
        text.find(one.as_typed) for one in first.unresolved if one.family and one.as_typed in text
    ]
    cut = min(starts) if starts else len(text)
    name = text[:cut].strip(" ,;:–-(").removesuffix("(").strip()
    return read_label(LabelTexts(name=name, pigments=text[cut:].strip(" )")), vocabulary=known, rows=rows)


@dataclass(frozen=True)
class _Ours:
    """A paint of the lesson, with its curve where one is known."""

    paint: Paint
    codes: frozenset[str]
    families: frozenset[str]
    curve: Curve | None


def brought(studio: Studio, now: LessonNow) -> list[Checked]:
    """What was brought to this lesson, in the order of writing; six queries beside the house rules."""
    tubes = list(now.lesson.brought.all())
    if not tubes:
        return []
    known, rows = vocabulary(), typical_rows()
    pigments = {one.ci_name: one for one in Pigment.objects.all()}
    ours = _ours(now, rows, pigments)
    readings = [read_typed(tube.text, known, rows) for tube in tubes]
    named = {code: pigments[code] for reading in readings for code in reading.pigments.codes if code in pigments}
    said = restrictions.of_pigments(studio, now.lesson.group, list(named.values()))
    return [
        _checked(tube, reading, ours, rows, pigments, now, _rules(reading, named, said))
        for tube, reading in zip(tubes, readings, strict=True)
    ]


def _rules(
    reading: LabelReading, named: dict[str, Pigment], said: dict[int, tuple[Restriction, ...]]
) -> tuple[Restriction, ...]:
    found = (one for code in reading.pigments.codes if code in named for one in said.get(named[code].pk, ()))
    return tuple(dict.fromkeys(found))


def _ours(now: LessonNow, rows: list[BandRow], pigments: dict[str, Pigment]) -> list[_Ours]:
    wanted = [one.line.item_id for one in now.paints if not one.is_archived]
    found = []
    for paint in with_curves(Paint.objects.filter(pk__in=wanted)):
        codes = [line.code for line in paint.pigment_lines.all()]
        families = frozenset(pigments[code].hue_family for code in codes if code in pigments)
        found.append(_Ours(paint, frozenset(codes), families, curve_of(paint, rows).curve))
    order = {pk: place for place, pk in enumerate(wanted)}
    return sorted(found, key=lambda one: order[one.paint.pk])


def _checked(
    tube: BroughtTube,
    reading: LabelReading,
    ours: Sequence[_Ours],
    rows: list[BandRow],
    pigments: dict[str, Pigment],
    now: LessonNow,
    found: tuple[Restriction, ...],
) -> Checked:
    codes = reading.pigments.codes
    doubts = tuple(doubt.message for name, doubt in reading.doubts if doubt.code != "no-code" and name != "shade")
    children = bool(now.lesson.group and now.lesson.group.children)
    common: dict[str, Any] = {"row": tube, "codes": codes, "doubts": doubts, "found": found}
    if not reading.pigments.is_settled or reading.pigments.unknown or reading.pigments.incomplete:
        what = "It shows no pigment code" if reading.pigments.unknown else "What pigments it holds is not clear"
        out = f"{now.lesson.group}: what is not known is kept from children." if children else ""
        words = f"{what}, so nothing is known of it: neither how it mixes nor what is in it."
        return Checked(verdict=Verdict.UNKNOWN, words=words, out=out, **common)
    out = _out(found)
    curve = curve_for(codes, reading.texts.name, rows).curve
    same = _same(frozenset(codes), curve, ours)
    if same is not None:
        words = f"The same pigments as {same.paint.name}. Strength may differ between makes."
        return Checked(verdict=Verdict.FITS, words=words, instead_of=same.paint.name, out=out, **common)
    near, apart = _nearest(curve, frozenset(codes), ours, pigments)
    if near is None:
        return Checked(verdict=Verdict.NOT_IN_PALETTE, words="Nothing in the palette is like it.", out=out, **common)
    if curve is None or near.curve is None:
        words = f"Of the same hue family as {near.paint.name}; how its mixtures differ is not known."
        return Checked(verdict=Verdict.NEAR, words=words, instead_of=near.paint.name, out=out, **common)
    alone, tint = _lab(curve), _tint(curve)
    words = (
        f"Instead of {near.paint.name}: alone {differs(alone, _lab(near.curve))}; tinted with nine parts of white "
        f"{differs(tint, _tint(near.curve))} (difference {apart:.0f})."
    )
    return Checked(
        verdict=Verdict.NEAR,
        words=words,
        instead_of=near.paint.name,
        mixtures=tuple(_mixtures(curve, near, ours)),
        out=out,
        **common,
    )


def _same(codes: frozenset[str], curve: Curve | None, ours: Sequence[_Ours]) -> _Ours | None:
    """The paint of the same pigments; where one code is sold as several colours, only if the colour fits too."""
    alike = [one for one in ours if one.codes == codes]
    if curve is None:
        return alike[0] if len(alike) == 1 else None
    ranked = sorted(
        ((_apart(curve, one.curve) if one.curve is not None else 0.0, place) for place, one in enumerate(alike))
    )
    return alike[ranked[0][1]] if ranked and ranked[0][0] <= DUPLICATE_WITHIN else None


def _out(found: Sequence[Restriction]) -> str:
    bar = next((one for one in found if one.forbids), None)
    return f"{bar.rule.rstrip('.')} ({bar.why})." if bar else ""


def _nearest(
    curve: Curve | None, codes: frozenset[str], ours: Sequence[_Ours], pigments: dict[str, Pigment]
) -> tuple[_Ours | None, float]:
    """The nearest paint of the lesson, else the nearest of the same hue family, and how far it is."""
    families = {pigments[code].hue_family for code in codes if code in pigments}
    alike = [one for one in ours if families & one.families]
    if curve is None:
        return (alike[0] if alike else None), float("inf")
    known = [(_apart(curve, one.curve), place) for place, one in enumerate(ours) if one.curve is not None]
    apart, place = min(known, default=(float("inf"), 0))
    if apart <= NEAR_WITHIN:
        return ours[place], apart
    of_family = [(apart, place) for apart, place in known if ours[place] in alike]
    if of_family:
        return ours[min(of_family)[1]], min(of_family)[0]
    return (alike[0] if alike else None), float("inf")


def _apart(one: Curve, other: Curve) -> float:
    return float(difference(_lab(one), _lab(other)) + difference(_tint(one), _tint(other))) / 2.0


def _lab(curve: Curve) -> np.ndarray:
    return masstone_lab(curve.k, curve.s)


def _tint(curve: Curve) -> np.ndarray:
    """One part to nine of a white that scatters alike at all wavelengths and absorbs nothing."""
    one, nine = TINT_PARTS
    return masstone_lab(one * curve.k / (one + nine), (one * curve.s + nine) / (one + nine))


def _mixtures(curve: Curve, near: _Ours, ours: Sequence[_Ours]) -> Iterable[str]:
    """Where half and half with another paint of the lesson comes out most differently, in words."""
    assert near.curve is not None  # noqa: S101  # the caller looked
    found = []
    for other in ours:
        if other is near or other.curve is None:
            continue
        labs = [
            mixture_lab(np.stack([one.k, other.curve.k]), np.stack([one.s, other.curve.s]), [1, 1])
            for one in (curve, near.curve)
        ]
        found.append((float(difference(labs[0], labs[1])), other.paint.name, differs(labs[0], labs[1])))
    for apart, name, words in sorted(found, reverse=True)[:MOST_MIXTURES]:
        yield f"Half and half with {name}: {words} (difference {apart:.0f})."

"""Which paints a wheel is about: the studio's stock, a place, a person's own tubes, or paints that somebody ticked."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Self
from urllib.parse import urlencode

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.http import QueryDict

from inventory.colour import certainty
from inventory.models import Binder, OwnerKind, Paint, Place, Tube
from inventory.models.tube import TubeQuerySet, of_the_studio
from inventory.queries.mixable import mixable
from inventory.queries.palette import (
    WorkingPalette,
    left_unusable,
    palettes_of,
    typical_rows,
)
from studio.models import Studio, User

# As many as the ways of the address allow, and more than any shelf holds.
MOST_CHOSEN = 2000


class Of(StrEnum):
    STOCK = "stock"
    PLACE = "place"
    PERSON = "person"
    WITH = "with"
    CHOSEN = "chosen"


@dataclass(frozen=True)
class Asked:
    """A set of paints as an address has it. `key` is the place or the person; a binder of None is the usual one."""

    of: Of = Of.STOCK
    key: int | None = None
    paints: tuple[int, ...] = ()
    binder: str | None = None

    @classmethod
    def read(cls, query: QueryDict, prefix: str = "") -> Self:
        """Read `set`, `p` and `binder`; a ValueError names what is wrong, its value and what would be right."""
        text = query.get(f"{prefix}set", Of.STOCK) or Of.STOCK
        found = re.fullmatch(r"(stock|chosen|(place|person|with)-([0-9]{1,9}))", text)
        if not found:
            raise ValueError(
                f"There is no set of paints {text!r}; there is stock, place-1, person-1, with-1 (by number) and chosen."
            )
        paints = tuple(dict.fromkeys(_numbers(query.getlist(f"{prefix}p"))))
        binder = query.get(f"{prefix}binder") or None
        return cls(Of(found[2] or found[1]), int(found[3]) if found[3] else None, paints, binder)

    @property
    def word(self) -> str:
        """The set as the address has it."""
        return str(self.of) if self.key is None else f"{self.of}-{self.key}"

    def query(self, prefix: str = "") -> list[tuple[str, str]]:
        """The same as `read` takes it, in as few signs as it can be said."""
        said = [] if self.of is Of.STOCK else [(f"{prefix}set", self.word)]
        if self.of is Of.CHOSEN:
            said.append((f"{prefix}p", _shortest(self.paints)))
        if self.binder:
            said.append((f"{prefix}binder", self.binder))
        return said

    def address(self, prefix: str = "", **more: object) -> str:
        """A query to put behind an address."""
        pairs = [*self.query(prefix), *((name, str(value)) for name, value in more.items())]
        return f"?{urlencode(pairs, safe=',')}" if pairs else "?"


@dataclass(frozen=True)
class Option:
    """A set to choose by name."""

    value: str
    label: str


@dataclass(frozen=True)
class PaintSet:
    """The paints of a set, a palette for each binder, what it is called, and what was left aside and why."""

    asked: Asked
    words: str
    palettes: tuple[WorkingPalette, ...]
    notes: tuple[str, ...]
    refused: str = ""
    """Why there is no one palette: paints of several binders were ticked together."""

    @property
    def is_empty(self) -> bool:
        return not self.palettes

    @property
    def palette(self) -> WorkingPalette:
        """The palette of the binder asked for, or of the one with most paints; a ValueError says which there are."""
        if self.asked.binder is None:
            return self.palettes[0]
        for one in self.palettes:
            if one.binder == self.asked.binder:
                return one
        there = ", ".join(_binder_word(one.binder) for one in self.palettes)
        where = "is in stock" if self.asked.of is Of.STOCK else "is among them"
        raise ValueError(f"No paint with the binder {self.asked.binder!r} {where}; there is {there}.")

    def of_binder(self, binder: str) -> Asked:
        """The same set with one binder; of ticked paints only those of that binder."""
        if self.asked.of is not Of.CHOSEN:
            return replace(self.asked, binder=binder)
        kept = {
            pk
            for one in self.palettes
            if one.binder == binder
            for pk in (*one.paints, *(left.paint.pk for left in one.left_out))
        }
        return replace(self.asked, binder=binder, paints=tuple(pk for pk in self.asked.paints if pk in kept))


def paint_set(studio: Studio, asked: Asked) -> PaintSet | None:
    """The set; None where the place or the person is not of this studio. Five queries at most."""
    if asked.of is Of.CHOSEN:
        return _chosen(studio, asked)
    name = "" if asked.of is Of.STOCK else _name(studio, asked)
    if name is None:
        return None
    words, tubes = _held(asked, name)
    there = tubes.usable().filter(item=OuterRef("pk"))
    paints = Paint.objects.of(studio).kept().filter(Exists(there)).order_by("sort_name", "pk")
    unusable = left_unusable(studio, tubes)
    return PaintSet(asked, words, _palettes(paints), (unusable,) if unusable else ())


def _held(asked: Asked, name: str) -> tuple[str, TubeQuerySet]:
    """What a set of tubes is called, and the tubes, whatever state they are in."""
    tubes = Tube.objects.all()
    mine = Q(owner_kind=OwnerKind.MEMBER, owner=asked.key)
    if asked.of is Of.STOCK:
        return "the studio's paints in stock", tubes.of_the_studio()
    if asked.of is Of.PLACE:
        return f"what stands at {name}", tubes.filter(place=asked.key)
    if asked.of is Of.PERSON:
        return f"{name}'s own tubes", tubes.filter(mine)
    return f"the studio's paints and {name}'s own tubes", tubes.filter(mine | of_the_studio())


def _chosen(studio: Studio, asked: Asked) -> PaintSet:
    """The paints that somebody ticked; those that are not here any more are told, and so are several binders."""
    paints = Paint.objects.of(studio).kept().filter(pk__in=asked.paints[:MOST_CHOSEN]).order_by("sort_name", "pk")
    palettes = _palettes(paints)
    notes: tuple[str, ...] = ()
    if gone := len(asked.paints) - sum(map(_count, palettes)):
        verb = "is" if gone == 1 else "are"
        notes = (
            f"{gone} of the {len(asked.paints)} chosen paints {verb} not among the studio's paints "
            "(deleted, put away or never here) and left aside.",
        )
    shown = sum(map(_count, [one for one in palettes if one.binder == asked.binder] or palettes))
    refused = ""
    known = [one for one in palettes if one.binder != Binder.UNKNOWN]
    if asked.binder is None and len(known) > 1:
        count = ", ".join(f"{_count(one)} in {_binder_word(one.binder)}" for one in known)
        refused = (
            f"These paints are of {len(known)} binders ({count}), and paints of different binders are not mixed. "
            "Choose one binder."
        )
    return PaintSet(asked, f"{shown} chosen paint{'' if shown == 1 else 's'}", palettes, notes, refused)


def _palettes(paints: QuerySet[Paint]) -> tuple[WorkingPalette, ...]:
    return tuple(palettes_of(paints, typical_rows()))


def _count(one: WorkingPalette) -> int:
    """How many paints are of its binder, those without a known colour too."""
    return len(one.paints) + len(one.left_out)


def set_options(studio: Studio) -> list[Option]:
    """The sets to choose by name; two queries."""
    options = [Option("stock", "All in stock")]
    places = Place.objects.filter(studio=studio, removed_at=None)
    options += [Option(f"place-{place.pk}", f"At {place.name}") for place in places]
    owners = Tube.objects.of(studio).usable().filter(owner=OuterRef("pk"), owner_kind=OwnerKind.MEMBER)
    for person in User.objects.filter(Exists(owners), memberships__studio=studio).order_by("username", "pk"):
        options.append(Option(f"person-{person.pk}", f"{person}'s own tubes"))
        options.append(Option(f"with-{person.pk}", f"The studio's and {person}'s own"))
    return options


def pickable(studio: Studio) -> "list[Paint]":
    """All paints of the studio's catalogue, in stock or not, by binder and name, with `in_stock`; two queries."""
    held = Tube.objects.usable().of_the_studio().filter(item=OuterRef("pk"))
    paints = Paint.objects.of(studio).kept().annotate(in_stock=Exists(held)).prefetch_related("pigment_lines")
    order = Binder.values
    return sorted(paints, key=lambda paint: (order.index(paint.binder), paint.name.casefold(), paint.pk))


def drawn(one: WorkingPalette) -> list[certainty.Paint]:
    """The palette's paints with everything that their curves may be, in its order; two queries."""
    found = mixable(one.paints.values(), typical_rows())
    return [each.sure for each in found if each.sure is not None]


def _name(studio: Studio, asked: Asked) -> str | None:
    if asked.key is None:
        return None
    if asked.of is Of.PLACE:
        place = Place.objects.filter(studio=studio, pk=asked.key).first()
        return None if place is None else place.name
    person = User.objects.filter(pk=asked.key, memberships__studio=studio).first()
    return None if person is None else str(person)


def _binder_word(binder: str) -> str:
    return "binder not known" if binder == Binder.UNKNOWN else Binder(binder).label.lower()


def _numbers(texts: Iterable[str]) -> Iterator[int]:
    count = 0
    for part in (part for text in texts for part in text.split(",") if part):
        found = re.fullmatch(r"([0-9]{1,9})(?:-([0-9]{1,9}))?", part)
        if not found:
            raise ValueError(f"A paint is given by its number, or by several as 3-7; {part!r} is neither.")
        first, last = int(found[1]), int(found[2] or found[1])
        count += max(0, last - first + 1)
        if count > MOST_CHOSEN:
            raise ValueError(f"A selection may hold {MOST_CHOSEN} paints at most; take fewer.")
        yield from range(first, last + 1)


def _shortest(paints: Iterable[int]) -> str:
    """Numbers as 3-7,9."""
    runs: list[list[int]] = []
    for pk in sorted(set(paints)):
        if runs and pk == runs[-1][1] + 1:
            runs[-1][1] = pk
        else:
            runs.append([pk, pk])
    return ",".join(str(first) if first == last else f"{first}-{last}" for first, last in runs)

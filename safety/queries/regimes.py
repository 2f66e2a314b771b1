"""Pigments and limits as the pages about regimes show them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Q, QuerySet

from inventory.models import Item, PaintPigment, Pigment, Tube
from safety.models import HazardFact, Limit
from safety.queries.reference import published
from safety.rules.facts import PigmentFacts
from safety.rules.regimes import limit_place, order_by_place
from safety.rules.sources import cite
from studio.models import Studio


def find_pigments(words: str) -> "QuerySet[Pigment]":
    """Pigments whose code, number, CAS number or name holds every word; a query a word, and one for the answer."""
    found = Pigment.objects.order_by("pk")
    for word in words.split():
        named = HazardFact.objects.filter(substance__icontains=word).values_list("ci_names", flat=True)
        codes = {code for names in named for code in names.split(";") if code}
        found = found.filter(
            Q(ci_name__iexact=word)
            | Q(ci_name__istartswith=f"{word}:")
            | Q(ci_number__icontains=word)
            | Q(cas__icontains=word)
            | Q(common_names__icontains=word)
            | Q(chemical_description__icontains=word)
            | Q(ci_name__in=codes)
        )
    return found


def pigments_kept(studio: Studio) -> "QuerySet[Pigment]":
    """The pigments that this studio's paints name; one query."""
    named = PaintPigment.objects.filter(pigment=OuterRef("pk"), paint__studio=studio, paint__archived_at=None)
    return Pigment.objects.filter(Exists(named)).order_by("pk")


def pigment_facts(code: str) -> tuple[Pigment | None, PigmentFacts]:
    """The pigment of a Colour Index name and all that is published of it; two queries."""
    pigment = Pigment.objects.filter(ci_name__iexact=code).first()
    if pigment is None:
        return None, PigmentFacts(code, known=False)
    facts = PigmentFacts(
        code=pigment.ci_name,
        name=pigment.chemical_description,
        metals=tuple(pigment.metal_list),
        substances=published().of_pigment(pigment.ci_name),
    )
    return pigment, facts


def paints_with(studio: Studio, code: str) -> "QuerySet[Item]":
    """What this studio keeps that names the pigment, with whether any of it stands on the shelf."""
    named = PaintPigment.objects.filter(paint=OuterRef("pk"), code=code)
    held = Tube.objects.in_use().filter(item=OuterRef("pk"))
    kept = Item.objects.of(studio).kept().filter(Exists(named)).select_related("paint")
    return kept.annotate(on_shelf=Exists(held)).order_by("sort_name", "pk")


@dataclass(frozen=True)
class LimitRow:
    """A limit with its source written out."""

    limit: Limit

    @property
    def source(self) -> str:
        return cite(self.limit.source, self.limit.confidence)


@dataclass(frozen=True)
class LimitGroup:
    """The limits of one jurisdiction; `own` where the studio is in its place."""

    jurisdiction: str
    own: bool
    rows: tuple[LimitRow, ...]


# Words of a question that a limit writes otherwise.
_MEANT = {"µg": "ug", "μg": "ug", "m³": "m3"}


def limit_groups(jurisdiction: str, words: str = "", own_places: Iterable[str] = ()) -> list[LimitGroup]:
    """Limits that hold every word, by jurisdiction, the studio's own first; one query."""
    rows = Limit.objects.order_by("pk")
    for word in words.split():
        for typed, written in _MEANT.items():
            word = word.replace(typed, written)
        rows = rows.filter(
            Q(topic__icontains=word)
            | Q(basis__icontains=word)
            | Q(citation__icontains=word)
            | Q(jurisdiction__icontains=word)
            | Q(unit__icontains=word)
            | Q(notes__icontains=word)
            | Q(figure=word)
        )
    by_name: dict[str, list[LimitRow]] = {}
    for row in rows:
        by_name.setdefault(row.jurisdiction, []).append(LimitRow(row))
    own = set(own_places)
    places: Mapping[str, str] = {name: limit_place(name) for name in by_name}
    order = order_by_place(places.values(), jurisdiction)
    names = sorted(by_name, key=lambda name: order.index(places[name]))
    return [LimitGroup(name, places[name] in own, tuple(by_name[name])) for name in names]

"""What the air check asks of the studio and of the reference tables."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from django.db.models import Q, QuerySet
from django.utils import timezone

from inventory.models import Item, Material, MaterialKind, Room
from safety.models import Limit
from safety.queries import facts as known
from safety.queries.reference import phrasebook
from safety.rules.air_check import Answer, Liquid, Span, against, needed_air
from safety.rules.handling import Caution
from safety.rules.lists import places_of
from safety.rules.notice import content
from safety.rules.regimes import limit_place
from safety.rules.sources import cite
from safety.rules.statements import split_cell
from studio.models import Studio
from studio.reference import table

UNITS = ("ppm", "mg/m3", "ug/m3")


@dataclass(frozen=True)
class Solvent:
    """A row of fixtures/solvents.csv."""

    key: str
    liquid: Liquid
    cas: tuple[str, ...]
    topics: tuple[str, ...]
    source: str
    confidence: str
    notes: str


@cache
def solvents() -> tuple[Solvent, ...]:
    """The solvents of the reference table, in its order. It changes with a release, so it is read once."""
    return tuple(_solvent(row) for row in table("solvents"))


def _solvent(row: dict[str, str]) -> Solvent:
    source = cite(row["source"], row["confidence"])

    def span(column: str) -> Span | None:
        figures = [float(text) for text in split_cell(row[column])]
        return Span(figures[0], figures[-1], source) if figures else None

    masses = [float(text) for text in split_cell(row["molar_mass_g_mol"])]
    liquid = Liquid(
        name=row["name"],
        molar_mass=Span(masses[0], masses[-1], source),
        density=span("density_g_ml"),
        vapour_pressure=span("vapour_pressure_kpa"),
        vapour_at_c=float(row["vapour_pressure_at_c"]) if row["vapour_pressure_at_c"] else None,
        flash_point=span("flash_point_c"),
        explosive=span("lower_explosive_limit_percent"),
    )
    cas, topics = split_cell(row["cas"]), split_cell(row["limit_topics"])
    return Solvent(row["key"], liquid, cas, topics, row["source"], row["confidence"], row["notes"])


def solvent_of(material: Material) -> Solvent | None:
    """The solvent that a CAS number of the material names, if it names one alone; a name is no evidence."""
    numbers = set(split_cell(material.cas))
    found = [one for one in solvents() if numbers & set(one.cas)]
    return found[0] if len(found) == 1 else None


def rooms(studio: Studio) -> "QuerySet[Room]":
    return Room.objects.filter(studio=studio, removed_at=None).select_related("facts")


def materials(studio: Studio) -> "QuerySet[Material]":
    """What may give off vapour, and drying oils, whose rags matter."""
    rows = Material.objects.filter(studio=studio, archived_at=None)
    return rows.exclude(material_kind=MaterialKind.DRY_PIGMENT).order_by("sort_name", "pk")


def rag_cautions(studio: Studio, item: Item) -> list[Caution]:
    """What the notice of this thing says of rags."""
    found = list(known.items(studio).filter(pk=item.pk))
    facts = known.facts_of(found)[item.pk]
    said = content(
        facts,
        house=known.house_of(studio),
        phrasebook=phrasebook(),
        made_on=timezone.localdate(),
        regimes=known.lists_of(studio).regimes,
    )
    return [one for one in said.cautions if one.key.partition(":")[0] == "rags"]


@dataclass(frozen=True)
class Quoted:
    """A limit as it is printed, how the estimate stands to it, and the air that would hold it there."""

    limit: Limit
    here: bool
    verdict: str
    needed_air_m3_h: float


def quoted_limits(answer: Answer, topics: Iterable[str], jurisdiction: str) -> list[Quoted]:
    """The limits of a solvent, those of the studio's own jurisdiction first; one query."""
    named = Q()
    for topic in topics:
        named |= Q(topic__startswith=f"{topic},")
    if not named:
        return []
    found = []
    for limit in Limit.objects.filter(named, unit__in=UNITS).exclude(figure=""):
        value = float(limit.figure)
        verdict = against(answer.highest, value, limit.unit)
        air = needed_air(answer.question, value, limit.unit)
        found.append(Quoted(limit, applies(limit.jurisdiction, jurisdiction), verdict, air))
    return sorted(found, key=lambda one: (not one.here, one.limit.jurisdiction, one.limit.pk))


def applies(limit: str, studio: str) -> bool:
    """Whether a limit is of the studio's own place, as somebody typed that: in Germany the EU's are."""
    return limit_place(limit) in places_of(studio)

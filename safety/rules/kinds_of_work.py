"""What another form or another kind of work adds: dust, mist and heat are exposures that a brush and a tube are not.

Nothing here is taken over from the tube of the same pigment. Each line stands below local regulations, licensed
practice and the maker's sheet.

References: Regulation (EC) 1272/2008 (CLP), Articles 5(1), 6(1) and 9(5): a classification looks at the form in which
something is sold and can reasonably be expected to be used. UN GHS Annex 3 for the P statements that are named.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from safety.rules.caution import PRACTICE, Caution
from safety.rules.facts import Facts, SoldAs
from safety.rules.metals import METALS

Work = Literal["sanding", "spraying", "heating"]

_FORMS_LAW = "Regulation (EC) 1272/2008 Articles 5(1) and 9(5)"
_AIR = "UN GHS Annex 3, P260, P271 and P284"

TITLES: dict[Work, str] = {
    "sanding": "Sanding, scraping or grinding a dry film",
    "spraying": "Spraying, also with an airbrush",
    "heating": "Heating, melting, or drying with hot air",
}

_SOLD_AS_WORDS: dict[SoldAs, str] = {
    "powder": "a dry powder",
    "stick": "a pastel, crayon or stick",
    "spray": "a spray",
    "marker": "a marker",
}

# Metals whose dust and fume rules for workplaces name in many countries, such as 29 CFR 1910 subpart Z.
_REGULATED_DUST = ("Pb", "Cd", "Cr6", "As", "Hg")

_WATER_BORNE = frozenset({"acrylic", "watercolour", "gouache", "tempera", "casein", "water-mixable oil"})


@dataclass(frozen=True)
class WorkCautions:
    """One kind of work: its title, whether what is sold implies it, and its lines."""

    work: Work
    title: str
    implied: bool
    cautions: tuple[Caution, ...]


def sections(facts: Facts) -> tuple[WorkCautions, ...]:
    """Every kind of work that can be done with it, what its form implies first."""
    found = [
        WorkCautions(work, TITLES[work], work in implied(facts), tuple(_LINES[work](facts)))
        for work in TITLES
        if _possible(work, facts)
    ]
    return tuple(sorted(found, key=lambda one: not one.implied))


def implied(facts: Facts) -> tuple[Work, ...]:
    """The kinds of work that come with the form itself: a spray can is sprayed, encaustic is melted."""
    works: list[Work] = []
    if facts.sold_as == "spray":
        works.append("spraying")
    if facts.binder == "encaustic":
        works.append("heating")
    return tuple(works)


def by_form(facts: Facts) -> Iterator[Caution]:
    """The lines of a notice that follow from the form: those of the form itself, then of the work that it implies."""
    if facts.sold_as in _SOLD_AS_WORDS:
        yield Caution(
            f"form:{facts.sold_as}",
            f"This is {_SOLD_AS_WORDS[facts.sold_as]}: what is known of the same thing in another form is not "
            "known of this. Ask for the maker's sheet of this very product.",
            "the same pigment in another form is another exposure",
            _FORMS_LAW,
        )
    if facts.sold_as == "stick":
        yield Caution(
            "dust:stick",
            "It sheds dust while you draw. Do not blow it off: tap it onto a damp cloth or paper, and wipe up wet.",
            "breathed dust is the chief way in",
            PRACTICE,
        )
    if facts.sold_as == "marker":
        yield Caution(
            "solvent:marker",
            "Its ink may hold solvent: cap it, ventilate as local rules say, and keep it from flames unless the "
            "maker's sheet says what is in it.",
            "the solvent is not named on many markers",
            PRACTICE,
        )
    for work in implied(facts):
        yield from _LINES[work](facts)


def preservative(facts: Facts) -> Iterator[Caution]:
    """Water-borne paint keeps because something in it kills what grows; that something can sensitise skin."""
    if facts.binder in _WATER_BORNE and facts.sold_as not in ("powder", "stick"):
        yield Caution(
            "preservative",
            "Water-borne paint usually holds a preservative that skin can become allergic to. Its name stands beside "
            "EUH208 or H317 on the label or the maker's sheet.",
            "small amounts of isothiazolinones sensitise",
            "Regulation (EC) 1272/2008 Annex II, 2.8 (EUH208); common practice",
        )


def _possible(work: Work, facts: Facts) -> bool:
    if work == "sanding":
        return facts.form in ("paint", "ground", "varnish", "dry pigment") and facts.sold_as != "powder"
    return True


def _sanding(facts: Facts) -> Iterator[Caution]:
    yield Caution(
        "sanding:dust",
        "Dust of a dry film carries its pigments. Work wet, catch it with the extraction that local rules name, wear "
        "the respirator they name, and do not sweep or blow it.",
        "pigment that a film held is set free",
        _AIR,
    )
    yield Caution(
        "sanding:other",
        "What the sheet says of the wet paint need not hold for its dust: ask the maker.",
        "a classification is made for the form in which something is used",
        _FORMS_LAW,
    )
    yield from _regulated("sanding", facts, "do not sand or scrape it before whoever is responsible for safety agrees")
    if not _all_known(facts):
        yield _not_known("sanding")


def _spraying(facts: Facts) -> Iterator[Caution]:
    yield Caution(
        "spraying:mist",
        "Mist carries pigment, binder and solvent into your lungs. Spray only where local rules allow it, with the "
        "extraction and the respirator they name; keep others away.",
        "droplets that hang in the air are breathed",
        _AIR,
    )
    yield Caution(
        "spraying:fire",
        "No flame, spark or hot surface near the mist.",
        "mist can catch fire where the liquid itself hardly does",
        "UN GHS Annex 3, P210 and P211; common practice",
    )
    if facts.sold_as == "spray":
        yield Caution(
            "spraying:can",
            "The can is under pressure: do not pierce or burn it, even after use, and keep it from sun and heat.",
            "it bursts",
            "UN GHS Annex 3, P251 and P410 + P412",
        )
    yield from _regulated("spraying", facts, "do not spray it before whoever is responsible for safety agrees")
    if not _all_known(facts):
        yield _not_known("spraying")


def _heating(facts: Facts) -> Iterator[Caution]:
    yield Caution(
        "heating:fume",
        "Heat sets free vapour and fume that cold paint does not. Use the least heat that works, measure it, stop when "
        "it smokes, and draw the fume away from you as local rules say.",
        "wax, oil and resin break down when they are too hot",
        PRACTICE,
    )
    yield Caution(
        "heating:fire",
        "Never leave it heating alone. No solvent near the heat, and no water on burning wax or oil.",
        "hot wax, oil and solvent vapour catch fire",
        PRACTICE,
    )
    yield from _regulated("heating", facts, "do not heat it before whoever is responsible for safety agrees")
    if not _all_known(facts):
        yield _not_known("heating")


_LINES = {"sanding": _sanding, "spraying": _spraying, "heating": _heating}


def _regulated(work: Work, facts: Facts, remedy: str) -> Iterator[Caution]:
    for symbol in _REGULATED_DUST:
        carriers = [one.code for one in facts.pigments if symbol in one.metals]
        if carriers:
            yield Caution(
                f"{work}:{symbol}",
                f"Contains {METALS[symbol].words} ({', '.join(carriers)}): {remedy}.",
                "rules for workplaces set limits for its dust and fume in many places",
                METALS[symbol].source,
            )


def _all_known(facts: Facts) -> bool:
    return bool(facts.pigments or facts.ingredients) and all(one.known for one in facts.pigments)


def _not_known(work: Work) -> Caution:
    return Caution(
        f"{work}:unknown",
        "What is in it is not known here in full: do not do this before you have read the maker's sheet.",
        "what is not recorded may be what matters",
        "this record",
    )

"""What may lie on a palette: paints of the shelf and pigments that a supplier offers, with curve, price and rules."""

import re
from collections.abc import Collection, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from django.db.models import Exists, OuterRef

from inventory import restrictions
from inventory.colour.appearance import srgb
from inventory.colour.curves import BandRow, Curve, choose_row, from_bands
from inventory.colour.mixing import masstone_lab
from inventory.colour.palette import Palette as Curves
from inventory.colour.temperature import Standing, Tag, standing
from inventory.labels.marks import Band, LightfastnessScale, read_lightfastness
from inventory.models import Binder, Group, Item, Offer, Opacity, OpticalRow, Paint, Palette, PalettePaint, Tube
from inventory.queries.buying.offers import current_offers, newest
from inventory.queries.lasting import fades
from inventory.queries.mixable import Mixable, mixable
from inventory.queries.offered import cheapest
from inventory.queries.palette import band_row, typical_rows, with_curves
from inventory.queries.palettes import paints_of
from inventory.restrictions import Restriction
from inventory.stock.prices import money_words
from studio.models import Studio

TRANSPARENT = "transparent"
MOST_LINES = 40
_KEY = re.compile(r"(row-)?([0-9]{1,9})")


@dataclass(frozen=True)
class Price:
    """The cheapest pack in the studio's currency."""

    offer: Offer

    @property
    def minor(self) -> int:
        return self.offer.price_minor

    @property
    def words(self) -> str:
        one = self.offer
        size = f"{one.nominal_milli / 1000:g} {one.unit}"
        return f"{money_words(one.price_minor, one.currency)} for {size if one.pack == 1 else f'{one.pack} of {size}'}"

    def of_amount(self, milli: int) -> int | None:
        """What so many thousandths of a ml cost, rounded up; None where it is sold by weight."""
        if self.offer.unit != "ml":
            return None
        return -(-self.offer.price_minor * milli // (self.offer.nominal_milli * self.offer.pack))


@dataclass(frozen=True, eq=False)
class Choosable:
    """A paint of the shelf, or a pigment to be bought; `curve` is None where its colour is not known."""

    paint: Paint | None
    row: OpticalRow | None
    curve: Curve | None
    reason: str
    sure: Mixable | None
    in_stock: bool
    transparent: bool
    fades: str
    price: Price | None
    rules: tuple[Restriction, ...]

    @property
    def key(self) -> str:
        """As an address names it."""
        return str(self.paint.pk) if self.paint is not None else f"row-{self.row.pk}" if self.row is not None else ""

    @property
    def id(self) -> Hashable:
        return self.paint.pk if self.paint is not None else ("row", self.row.pk if self.row else 0)

    @cached_property
    def name(self) -> str:
        return self.paint.name if self.paint is not None else str(self.row).capitalize()

    @cached_property
    def codes(self) -> str:
        if self.paint is not None:
            return " + ".join(line.code for line in self.paint.pigment_lines.all())
        return self.row.pigment.ci_name if self.row is not None else ""

    @cached_property
    def standing(self) -> Standing | None:
        return None if self.curve is None else standing(self.curve.k, self.curve.s)

    @cached_property
    def hex(self) -> str:
        return "" if self.curve is None else srgb(masstone_lab(self.curve.k, self.curve.s)).hex

    @property
    def role(self) -> str:
        """What it is on a palette, in a word or two."""
        found = self.standing
        if found is None:
            return ""
        # "Dark" says less than the hue: a phthalocyanine green is dark, and is on the palette as its green.
        order = [Tag.WHITE, *(tag for tag in Tag if tag not in (Tag.YELLOW, Tag.RED, Tag.BLUE, Tag.WHITE, Tag.DARK))]
        return next((tag.value for tag in order if tag in found.tags), found.words)[:60]

    @property
    def forbidden(self) -> tuple[Restriction, ...]:
        return tuple(one for one in self.rules if one.forbids)

    @property
    def warnings(self) -> tuple[Restriction, ...]:
        return tuple(one for one in self.rules if not one.forbids)


@dataclass(frozen=True, eq=False)
class Laid:
    """The tubes of a palette, chosen or saved: those that are there, and what is said of those that are not."""

    binder: str
    tubes: tuple[Choosable, ...]
    notes: tuple[str, ...] = ()

    @property
    def known(self) -> tuple[Choosable, ...]:
        return tuple(one for one in self.tubes if one.curve is not None)

    @property
    def unknown(self) -> tuple[Choosable, ...]:
        return tuple(one for one in self.tubes if one.curve is None)

    @cached_property
    def curves(self) -> Curves:
        return curves_of(self.known, self.binder)


def curves_of(tubes: Iterable[Choosable], binder: str) -> Curves:
    """The tubes of known colour as the colour engine takes them."""
    return Curves.of([(one.id, one.name, one.curve) for one in tubes if one.curve is not None], binder)


def of_paints(studio: Studio, paints: Collection[Paint], group: Group | None) -> list[Choosable]:
    """Paints, loaded `with_curves` and with `in_stock`, with prices and house rules; five queries at most."""
    prices = prices_of(studio, [paint.pk for paint in paints])
    rules = restrictions.of_items(studio, group, [_item(paint) for paint in paints])
    found = []
    for one in mixable(paints, typical_rows()):
        paint = one.paint
        found.append(
            Choosable(
                paint=paint,
                row=None,
                curve=one.sure.curve if one.sure is not None else None,
                reason=one.reason,
                sure=one,
                in_stock=bool(getattr(paint, "in_stock", True)),
                transparent=is_transparent(paint),
                fades=fades(paint),
                price=prices.get(paint.pk),
                rules=rules.get(paint.pk, ()),
            )
        )
    return found


def of_rows(studio: Studio, binder: str, rows: Sequence[OpticalRow], group: Group | None) -> list[Choosable]:
    """Pigments that are not on the shelf, with prices and house rules; two queries and those of the rules."""
    prices = cheapest(studio, binder, rows)
    pigments = list({row.pigment_id: row.pigment for row in rows}.values())
    rules = restrictions.of_pigments(studio, group, pigments)
    found = []
    for row in rows:
        price = prices.get(row.pk)
        mark = row.pigment.lightfastness_in(binder)
        fugitive = read_lightfastness(mark, scale=LightfastnessScale.ASTM).coarse is Band.FUGITIVE
        found.append(
            Choosable(
                paint=None,
                row=row,
                curve=from_bands(band_row(row)),
                reason="",
                sure=None,
                in_stock=False,
                transparent=row.pigment.opacity_typical == TRANSPARENT,
                fades=f"{row.pigment.ci_name}, ASTM {mark}" if fugitive else "",
                price=Price(price.offer) if price is not None and price.comparable else None,
                rules=rules.get(row.pigment_id, ()),
            )
        )
    return found


def prices_of(studio: Studio, items: Collection[int]) -> dict[int, Price]:
    """By item, the cheapest pack that is offered today in the studio's currency; two queries."""
    found: dict[int, Price] = {}
    for offer in newest(current_offers(studio, items)) if items else ():
        if offer.item_id is None or offer.currency != studio.currency:
            continue
        there = found.get(offer.item_id)
        if there is None or offer.price_minor < there.minor:
            found[offer.item_id] = Price(offer)
    return found


def is_transparent(paint: Paint) -> bool:
    """By its label; without a mark, where all its pigments are usually transparent."""
    if paint.opacity != Opacity.UNKNOWN:
        return paint.opacity == Opacity.TRANSPARENT
    lines = list(paint.pigment_lines.all())
    return bool(lines) and all(line.pigment and line.pigment.opacity_typical == TRANSPARENT for line in lines)


def paints_at_hand(studio: Studio, keys: Collection[int] | None = None, *, archived: bool = False) -> list[Paint]:
    """The studio's paints (of these numbers, or those in stock) with curves and whether they are in stock."""
    held = Exists(Tube.objects.usable().of_the_studio().filter(item=OuterRef("pk")))
    rows = Paint.objects.of(studio) if archived else Paint.objects.of(studio).kept()
    rows = rows.annotate(in_stock=held).order_by("sort_name", "pk")
    return list(with_curves(rows.filter(held) if keys is None else rows.filter(pk__in=keys)))


def read_keys(texts: Iterable[str]) -> tuple[str, ...]:
    """The tubes that an address names, once each; a ValueError names what is none."""
    keys = []
    for part in (part for text in texts for part in text.split(",") if part):
        if not _KEY.fullmatch(part):
            raise ValueError(f"A tube is given by its number, or as row-12 for a pigment; {part!r} is neither.")
        keys.append(part)
    return tuple(dict.fromkeys(keys))


def laid_by_keys(studio: Studio, keys: Sequence[str], group: Group | None, binder: str = "") -> Laid:
    """The tubes that somebody ticked; a ValueError names two binders. Twelve queries at most."""
    pks = [int(key) for key in keys if not key.startswith("row-")]
    numbers = [int(key.removeprefix("row-")) for key in keys if key.startswith("row-")]
    paints = paints_at_hand(studio, pks) if pks else []
    one_binder = check_binders(paints) or binder
    tubes = of_paints(studio, paints, group)
    if numbers:
        rows = list(OpticalRow.objects.filter(pk__in=numbers).select_related("pigment"))
        tubes += of_rows(studio, one_binder, rows, group)
    by_key = {one.key: one for one in tubes}
    gone = sum(key not in by_key for key in keys)
    notes = (
        (f"{gone} of the {len(keys)} chosen tubes {'is' if gone == 1 else 'are'} no longer here and left aside.",)
        if gone
        else ()
    )
    return Laid(one_binder, tuple(by_key[key] for key in keys if key in by_key), notes)


def check_binders(paints: Sequence[Paint]) -> str:
    """The one binder of these paints, empty where there are none; a ValueError names two that differ."""
    if not paints:
        return ""
    first = paints[0]
    unknown = next((paint for paint in paints if paint.binder == Binder.UNKNOWN), None)
    if unknown is not None:
        raise ValueError(
            f"The binder of {unknown.name} is not known, so it is on no palette. Enter its binder, or leave it out."
        )
    other = next((paint for paint in paints if paint.binder != first.binder), None)
    if other is not None:
        raise ValueError(
            f"{first.name} is {first.get_binder_display().lower()} and {other.name} is "
            f"{other.get_binder_display().lower()}; a palette has one binder. Take one of them out."
        )
    return first.binder


def laid_of(palette: Palette) -> Laid:
    """The tubes of a saved palette as they are now: what was put away since is named and left out."""
    studio = palette.studio
    lines = paints_of(palette)
    pks = [line.item_id for line in lines if line.item_id is not None]
    paints = {paint.pk: paint for paint in paints_at_hand(studio, pks, archived=True)} if pks else {}
    kept = [paint for paint in paints.values() if paint.archived_at is None and paint.binder == palette.binder]
    by_id: dict[Hashable, Choosable] = {one.id: one for one in of_paints(studio, kept, palette.group)}
    wanted = {line.pigment_id for line in lines if line.pigment_id is not None}
    by_line: dict[int, OpticalRow] = {}
    if wanted:
        rows = list(OpticalRow.objects.filter(pigment__in=wanted).select_related("pigment"))
        by_line = {line.pk: row for line in lines if (row := _row_of(line, palette, rows)) is not None}
        named = list({row.pk: row for row in by_line.values()}.values())
        by_id |= {one.id: one for one in of_rows(studio, palette.binder, named, palette.group)}
    tubes, notes = [], []
    for line in lines:
        key: Hashable = (
            line.item_id if line.item_id is not None else ("row", by_line[line.pk].pk if line.pk in by_line else 0)
        )
        one = by_id.get(key)
        if one is not None:
            tubes.append(one)
            if one.paint is not None and not one.in_stock:
                notes.append(f"{one.name}: none is left in stock.")
        else:
            notes.append(_why_gone(line, paints))
    return Laid(palette.binder, tuple(tubes), tuple(notes))


def _row_of(line: PalettePaint, palette: Palette, rows: Sequence[OpticalRow]) -> OpticalRow | None:
    own = [row for row in rows if row.pigment_id == line.pigment_id]
    shades: Mapping[str, object] = palette.asked.get("shades", {}) if isinstance(palette.asked, dict) else {}
    said = shades.get(str(line.position))
    named = next((row for row in own if row.name == said), None)
    if named is not None or not own:
        return named
    bands: list[BandRow] = [band_row(row) for row in own]
    chosen = choose_row(bands, "").row
    return next((row for row in own if chosen is not None and row.name == chosen.name), own[0])


def _why_gone(line: PalettePaint, paints: Mapping[int, Paint]) -> str:
    if line.item_id is None:
        return f"{line.pigment}: the table of pigments has no colour of it, so it is left out here."
    paint = paints.get(line.item_id)
    if paint is None:
        return f"{line.item} is no paint, so it is left out here."
    if paint.archived_at is not None:
        return (
            f"{paint.name} was put away since this palette was saved; it is left out here. Change the palette to "
            "replace it."
        )
    return (
        f"{paint.name} is {paint.get_binder_display().lower()} by now and the palette is of another binder; "
        "it is left out here."
    )


def _item(paint: Paint) -> Item:
    return paint

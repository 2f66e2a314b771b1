"""What to order, paint by paint: the shelf, the ledger, orders, lessons and offers brought together."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Q, QuerySet, Sum
from django.urls import reverse
from django.utils import timezone

from inventory.models import (
    BuyingPolicy,
    Counting,
    Entry,
    Item,
    LessonPaint,
    LessonState,
    LevelBasis,
    Offer,
    OrderDay,
    ReorderLevel,
    ServiceKind,
    Tube,
    TubeState,
)
from inventory.queries.buying.offers import as_pack_offer, current_offers, newest
from inventory.queries.buying.orders import OnOrder, on_order
from inventory.queries.demand import monday, start_of, uses, week_of, weekly_use
from inventory.queries.levels import item_name, levels
from inventory.stock import advice
from inventory.stock.amounts import exact
from inventory.stock.lots import Break, whole_lot
from inventory.stock.packs import Purchase, cheapest
from inventory.stock.prices import money_words
from studio.attention import Attention, Urgency
from studio.models import Studio

WEEKS_A_YEAR = 365.25 / 7


@dataclass(frozen=True)
class ItemAdvice:
    """The advice for one item in one unit, with the cheapest way to follow it; None where no offer reaches it."""

    item: Item
    unit: str
    situation: advice.Situation
    advice: advice.Advice
    coming: OnOrder | None
    purchase: Purchase | None
    offers: dict[int, Offer]
    lot_words: str = ""
    """How much of it at a time would cost least over a year; empty where the house did not say what an order costs."""

    @property
    def bought(self) -> list[tuple[Offer, int]]:
        """Offers with the packs to buy of each."""
        return [(self.offers[one.offer.key], one.packs) for one in self.purchase.chosen] if self.purchase else []

    @property
    def purchase_words(self) -> str:
        """Such as "2 of 150 ml and 1 of 37 ml at Corner supplier, 31.40 EUR in all"."""
        if self.purchase is None:
            return ""
        by_supplier: dict[str, list[str]] = defaultdict(list)
        for offer, packs in self.bought:
            size = f"{packs * offer.pack} of {exact(offer.nominal_milli, offer.unit)}"
            by_supplier[str(offer.supplier)].append(size)
        bought = "; ".join(f"{' and '.join(sizes)} at {name}" for name, sizes in by_supplier.items())
        return f"{bought}, {money_words(self.purchase.total_minor, self.purchase.currency)} in all"

    @property
    def point_words(self) -> str:
        return exact(self.advice.point_milli or 0, self.unit)

    @property
    def up_to_words(self) -> str:
        return exact(self.advice.up_to_milli or 0, self.unit)

    @property
    def days_words(self) -> str:
        return advice.days_words(self.advice.days) if self.advice.days else ""

    @property
    def urgency(self) -> tuple[bool, bool, bool, float]:
        days = self.advice.days[1] if self.advice.days else float("inf")
        return not self.advice.runs_out_before_delivery, not self.advice.order_now, not self.advice.short_milli, days


def policy_of(studio: Studio) -> BuyingPolicy | None:
    return BuyingPolicy.objects.filter(studio=studio).first()


def reorder_advice(studio: Studio, items: Sequence[Item] | None = None, today: date | None = None) -> list[ItemAdvice]:
    """Advice for everything that the studio keeps, what cannot wait first; twelve queries for any number of items.

    Only usable containers count, the studio's own and those that their owners share with it.
    """
    day = today or timezone.localdate()
    kept = list(_items(studio)) if items is None else list(items)
    held, sizes = _held(kept), _last_sizes(kept)
    coming, planned, levels = on_order(studio), _planned(studio, kept, day), _levels(kept)
    weeks = weekly_use(studio, day, kept, without_lessons_of={item for item, _ in planned})
    offers = _offers(studio, kept)
    house, days = policy_of(studio), _order_days(studio, day)
    units: dict[int, set[str]] = defaultdict(set)
    for pk, unit in (*held, *weeks, *planned):
        units[pk].add(unit)
    found = []
    for item in kept:
        level = levels.get(item.pk)
        for unit in sorted(units[item.pk] or ({level.unit} if level else set())):
            key = (item.pk, unit)
            usable, opened = held.get(key, (0, 0))
            level_milli, level_words = _level(level, unit, sizes.get(key), opened)
            situation = advice.Situation(
                name=item_name(item),
                unit=unit,
                held_milli=usable,
                on_order_milli=coming[item.pk].milli.get(unit, 0) if item.pk in coming else 0,
                weeks=weeks.get(key, ()),
                planned=tuple(planned.get(key, ())),
                level_milli=level_milli,
                level_words=level_words,
            )
            own = offers.get(key, [])
            answer = advice.advise(situation, _policy(house, days, own, studio.currency, day), day)
            found.append(
                ItemAdvice(
                    item,
                    unit,
                    situation,
                    answer,
                    coming.get(item.pk),
                    _purchase(answer.short_milli, own, studio),
                    {offer.pk: offer for offer in own},
                    _lot_words(answer, house, own, situation),
                )
            )
    return sorted(found, key=lambda one: (*one.urgency, one.item.sort_name, one.item.pk))


def _items(studio: Studio) -> "QuerySet[Item]":
    return Item.objects.of(studio).kept().select_related("paint").order_by("sort_name", "pk")


def _held(items: Iterable[Item]) -> dict[tuple[int, str], tuple[int, int]]:
    """What is usable, and what of it is open, by item and unit."""
    rows = Tube.objects.usable().of_the_studio().filter(item__in=[item.pk for item in items]).order_by()
    opened = Sum("balance_milli", filter=Q(state=TubeState.OPEN), default=0)
    sums = rows.values_list("item", "unit").annotate(Sum("balance_milli"), opened=opened)
    return {(item, unit): (held, of_open) for item, unit, held, of_open in sums}


def _last_sizes(items: Iterable[Item]) -> dict[tuple[int, str], int]:
    rows = Tube.objects.filter(item__in=[item.pk for item in items]).usual_last()
    return {(item, unit): size for item, unit, size in rows.values_list("item", "unit", "nominal_milli")}


def _planned(studio: Studio, items: Iterable[Item], today: date) -> dict[tuple[int, str], list[advice.Planned]]:
    rows = (
        LessonPaint.objects.filter(
            item__in=[item.pk for item in items],
            lesson__studio=studio,
            lesson__state=LessonState.PLANNED,
            lesson__students_bring=False,
            lesson__starts_at__date__gte=today,
            a_head_milli__gt=0,
        )
        .select_related("lesson")
        .order_by("lesson__starts_at")
    )
    found: dict[tuple[int, str], list[advice.Planned]] = defaultdict(list)
    for row in rows:
        on = timezone.localdate(row.lesson.starts_at)
        found[row.item_id, row.unit].append(
            advice.Planned(on, row.a_head_milli * row.lesson.students, row.lesson.title)
        )
    return found


def _levels(items: Iterable[Item]) -> dict[int, ReorderLevel]:
    rows = ReorderLevel.objects.filter(item__in=[item.pk for item in items]).select_related("set_by")
    return {row.item_id: row for row in rows}


def _level(level: ReorderLevel | None, unit: str, size: int | None, opened: int) -> tuple[int, str]:
    """In thousandths of the unit, and in words; a level in tubes is one of tubes of the size that came last.

    Where sealed ones alone count, what is open is wanted on top.
    """
    if level is None:
        return 0, ""
    by = f", set by {level.set_by}" if level.set_by else ""
    if level.basis == LevelBasis.AMOUNT:
        if level.unit != unit:
            return 0, f"{exact(level.level_milli, level.unit)}{by}, which says nothing of what is counted in {unit}"
        milli, words = level.level_milli, f"{exact(level.level_milli, unit)}{by}"
    else:
        tubes = "1 tube" if level.level_tubes == 1 else f"{level.level_tubes} tubes"
        if size is None:
            return 0, f"{tubes}{by}, of which none came yet, so that its size is not known"
        milli, words = level.level_tubes * size, f"{tubes} of {exact(size, unit)}{by}"
    if level.counting == Counting.SEALED and opened:
        return (
            milli + opened,
            f"{words}; only sealed ones count, so the {exact(opened, unit)} that is open comes on top",
        )
    return milli, words


def _offers(studio: Studio, items: Iterable[Item]) -> dict[tuple[int, str], list[Offer]]:
    found: dict[tuple[int, str], list[Offer]] = defaultdict(list)
    for offer in newest(current_offers(studio, [item.pk for item in items])):
        if offer.item_id is not None:
            found[offer.item_id, offer.unit].append(offer)
    return found


def _order_days(studio: Studio, today: date) -> list[OrderDay]:
    return list(OrderDay.objects.filter(studio=studio, on__gte=today))


def _policy(
    house: BuyingPolicy | None, days: Sequence[OrderDay], offers: Sequence[Offer], currency: str, today: date
) -> advice.Policy | None:
    """When this paint can be ordered: on the order dates of the house, else today and after each review."""
    if house is None:
        return None
    # Prices are compared within one currency: the studio's own, else the first by its code.
    first = min(offers, key=lambda one: (one.currency != currency, one.currency), default=None)
    alike = [one for one in offers if first and one.currency == first.currency]
    best = min(alike, key=lambda one: (one.price_minor / (one.nominal_milli * one.pack), one.pk), default=None)
    supplier = best.supplier if best else None
    open_on = [day.on for day in days if day.supplier_id in (None, supplier.pk if supplier else None)]
    review = timedelta(days=house.review_days) if house.review_days else None
    order_on = open_on[0] if open_on else today if review else None
    next_on = open_on[1] if len(open_on) > 1 else order_on + review if order_on and review else None
    lead = supplier.lead_days if supplier and supplier.lead_days is not None else house.default_lead_days
    return advice.Policy(
        service=house.service_permille / 1000,
        fill=house.service_kind == ServiceKind.FILL,
        order_on=order_on,
        next_on=next_on,
        lead_days=lead,
        times_as_bad=house.times_as_bad if house.service_kind == ServiceKind.COST else None,
        lead_sd_days=(supplier.lead_days_sd or 0) if supplier else 0,
    )


def _purchase(short_milli: int, offers: Sequence[Offer], studio: Studio) -> Purchase | None:
    """The cheapest packs in the studio's own currency that reach what is short."""
    own = [as_pack_offer(offer) for offer in offers if offer.currency == studio.currency]
    if not short_milli or not own:
        return None
    try:
        return cheapest(short_milli, own)
    except ValueError:
        # More than the table of packs can hold: the advice stands without a purchase.
        return None


def _lot_words(
    answer: advice.Advice, house: BuyingPolicy | None, offers: Sequence[Offer], now: advice.Situation
) -> str:
    """A sentence on the economic order quantity of the offer that is cheapest by the amount."""
    if house is None or not house.order_cost_minor or not house.holding_percent or not answer.forecast.mean:
        return ""
    own = [as_pack_offer(offer) for offer in offers if offer.currency == house.order_cost_currency]
    if not own:
        return ""
    best = min(own, key=lambda one: (one.price_minor / one.content_milli, one.key))
    yearly = answer.forecast.mean * WEEKS_A_YEAR
    breaks = [Break(0, best.price_minor), *(Break(packs, minor) for packs, minor in best.breaks if packs > 1)]
    lot = whole_lot(
        yearly / best.content_milli, house.order_cost_minor, breaks, holding_share=house.holding_percent / 100
    )
    amount = round(lot.quantity) * best.content_milli
    weeks = max(1, round(amount / answer.forecast.mean))
    supplier = next(offer.supplier for offer in offers if offer.pk == best.key)
    without = ", what planned lessons take left out" if now.planned else ""
    return (
        f"Ordered alone at {supplier}, {round(lot.quantity) * best.pack} of {exact(best.nominal_milli, now.unit)} at a "
        f"time would cost least over a year, about every {weeks} week{'' if weeks == 1 else 's'}: an order costs "
        f"{money_words(house.order_cost_minor, house.order_cost_currency)} beside the goods, a year on the shelf "
        f"{house.holding_percent} per cent of the price, and a year takes "
        f"{exact(round(yearly / 1000) * 1000, now.unit)}{without}. "
        "What is ordered with other things shares that cost, so it may be less."
    )


@dataclass(frozen=True)
class WeekOfUse:
    """One week of the history, with the entries that it is the sum of."""

    monday: date
    used_milli: int
    entries: tuple[Entry, ...]
    unit: str

    @property
    def words(self) -> str:
        return exact(self.used_milli, self.unit)


def weeks_of(
    item: Item, unit: str, row: Sequence[int], today: date | None = None, *, without_lessons: bool = False
) -> list[WeekOfUse]:
    """The weeks of an item's history in which something was used, newest first, each with its entries; one query."""
    last = week_of(today or timezone.localdate())
    first = last - len(row)
    left_out = [item.pk] if without_lessons else []
    rows = uses(item.studio, start_of(first), without_lessons_of=left_out, tube__item=item, tube__unit=unit)
    by_week: dict[int, list[Entry]] = defaultdict(list)
    for entry, use in sorted(rows, key=lambda pair: (pair[1].at, pair[0].pk), reverse=True):
        by_week[week_of(use.at.date())].append(entry)
    return [WeekOfUse(monday(week), row[week - first], tuple(by_week[week]), unit) for week in by_week if week < last]


@dataclass(frozen=True)
class UseDrawing:
    """Weekly use as bars: where each stands in a box of `width` by `height`, and what the highest one is."""

    bars: tuple[tuple[float, float, float, float], ...]
    width: int
    height: int
    top_words: str
    first_words: str
    words: str


def use_drawing(weeks: Sequence[int], unit: str) -> UseDrawing | None:
    """None where nothing was used."""
    most = max(weeks, default=0)
    if not most:
        return None
    width, height = 640, 120
    step = width / len(weeks)
    bars = tuple(
        (
            round(place * step, 2),
            round(height - height * used / most, 2),
            round(step * 0.8, 2),
            round(height * used / most, 2),
        )
        for place, used in enumerate(weeks)
        if used
    )
    return UseDrawing(
        bars,
        width,
        height,
        exact(most, unit),
        f"{len(weeks)} weeks ago" if len(weeks) > 1 else "last week",
        f"Use in each of {len(weeks)} weeks, at most {exact(most, unit)}",
    )


# More sentences than this are a list, and have their own page.
LONGEST = 6


def what_is_short(studio: Studio) -> Iterator[Attention]:
    """What will not last until it can be delivered, then what is below its level; each thing once."""
    late = []
    if policy_of(studio) is not None:
        late = [row for row in reorder_advice(studio) if row.advice.runs_out_before_delivery]
    named = {row.item.pk for row in late}
    below = [row for row in levels(studio) if row.is_short and row.item.pk not in named]
    for row in late[:LONGEST]:
        url = reverse("inventory:item_advice", args=[studio.slug, row.item.pk])
        yield Attention(Urgency.SHORT, row.advice.sentence, "See why", url)
    shown = below[: max(0, LONGEST - len(late))]
    for level in shown:
        url = f"{reverse('inventory:levels', args=[studio.slug])}#item-{level.item.pk}"
        yield Attention(Urgency.SHORT, level.answer.reason, "Open the order list", url)
    if rest := len(late) + len(below) - min(len(late), LONGEST) - len(shown):
        words = "1 more is short." if rest == 1 else f"{rest} more are short."
        yield Attention(Urgency.SHORT, words, "See what to order", reverse("inventory:reorder", args=[studio.slug]))

"""An invented studio to look around in: its people, its shelf, and a year of its ledger. Nothing in it is real."""

import csv
import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import datetime, time, timedelta
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import transaction
from django.utils import timezone

from inventory import services
from inventory.models import Counting, Item, ManyEdit, OwnerKind, Place, ReorderLevel, Tube, TubeState
from inventory.reading import LabelTexts
from inventory.services import finding, paints
from studio import (
    demo_barcodes,
    demo_buying,
    demo_colours,
    demo_counting,
    demo_exports,
    demo_house,
    demo_lasting,
    demo_lessons,
    demo_levels,
    demo_palettes,
    demo_records,
    demo_safety,
)
from studio.models import Membership, Role, Studio, User

PASSWORD = "linseed-and-chalk"  # noqa: S105  # printed for everybody; the demo answers on this machine alone
STUDIOS = {
    "quarry-lane": {
        "name": "Quarry Lane Painting Rooms",
        "jurisdiction": "EU",
        "currency": "EUR",
        "people": {"ines": Role.KEEPER, "tomas": Role.TEACHER, "wren": Role.MEMBER, "pia": Role.STUDENT},
        "places": [
            "Oil shelf",
            "Locked cupboard",
            "Acrylic trolley",
            "Medium cabinet",
            "Solvent cabinet",
            "Sink shelf",
        ],
    },
    "top-floor": {
        "name": "Top Floor",
        "jurisdiction": "Great Britain",
        "currency": "GBP",
        "people": {"odile": Role.KEEPER},
        "places": ["Window table"],
    },
}
CLASS_DAYS = (1, 3, 5)  # Tuesday, Thursday, Saturday
DAYS = 365
ORDER_DAYS = (372, 190, 45)  # days ago on which deliveries came
SEED = 20


@dataclass(order=True)
class Event:
    """Something to be done at a time; the number keeps events of one moment in the order they were thought of."""

    at: datetime
    number: int
    deed: Callable[[datetime], None] = field(compare=False)


@dataclass
class Diary:
    """The year, filled in any order and lived through in order of time."""

    today: datetime
    events: list[Event] = field(default_factory=list)

    def add(self, at: datetime, deed: Callable[[datetime], None]) -> None:
        self.events.append(Event(min(at, self.today), len(self.events), deed))

    def delivery(self, days_ago: int) -> datetime:
        return self.moment(days_ago, 9)

    def moment(self, days_ago: int, hour: int, minute: int = 0) -> datetime:
        day = timezone.localdate(self.today) - timedelta(days=days_ago)
        return timezone.make_aware(datetime.combine(day, time(hour, minute)))

    def class_moments(self, count: int, chance: random.Random) -> list[datetime]:
        """`count` moments on class days of the last year, earliest first."""
        day = timezone.localdate(self.today)
        days = [ago for ago in range(DAYS, 0, -1) if (day - timedelta(days=ago)).weekday() in CLASS_DAYS]
        step = len(days) / max(count, 1)
        chosen = [days[min(len(days) - 1, int((place + chance.random()) * step))] for place in range(count)]
        return sorted(self.moment(ago, chance.randint(10, 19), chance.randint(0, 59)) for ago in chosen)

    def live(self) -> None:
        for event in sorted(self.events):
            event.deed(event.at)


def rows(name: str) -> Iterator[dict[str, str]]:
    path = Path(settings.BASE_DIR) / "fixtures" / "demo" / f"{name}.csv"
    with path.open(encoding="utf-8", newline="") as file:
        yield from csv.DictReader(file)


@transaction.atomic
def load(today: datetime | None = None) -> list[Studio]:
    """Found the demo studios and live through their year; the same every time but for the day it ends on."""
    diary = Diary(today or timezone.now())
    studios = {slug: _found(slug, facts) for slug, facts in STUDIOS.items()}
    chance = random.Random(SEED)  # noqa: S311  # believable figures, no secrets
    for row in rows("paints"):
        _shelve(studios[row["studio"]], row, _paint(studios[row["studio"]], row), diary, chance)
    for row in rows("materials"):
        _shelve(studios[row["studio"]], row, _material(studios[row["studio"]], row), diary, chance)
    _tell_some_stories(studios["quarry-lane"], diary)
    ines, tomas = (User.objects.get(username=name) for name in ("ines", "tomas"))
    demo_house.furnish(studios["quarry-lane"], ines, tomas, diary.today)
    demo_palettes.lay_out(studios["quarry-lane"], tomas)
    demo_levels.set_levels(studios["quarry-lane"], ines, diary.today)
    for days_ago, hour, deed in demo_safety.deeds(studios["quarry-lane"], ines, tomas):
        diary.add(diary.moment(days_ago, hour), deed)
    wren = User.objects.get(username="wren")
    for days_ago, hour, deed in demo_buying.deeds(studios["quarry-lane"], ines, wren):
        diary.add(diary.moment(days_ago, hour), deed)
    for days_ago, hour, deed in demo_counting.deeds(studios["quarry-lane"], ines, tomas, wren):
        diary.add(diary.moment(days_ago, hour), deed)
    for days_ago, hour, deed in demo_lessons.deeds(studios["quarry-lane"], ines, tomas):
        diary.add(diary.moment(days_ago, hour), deed)
    diary.live()
    demo_lessons.plan_ahead(studios["quarry-lane"], tomas, timezone.localdate(diary.today))
    demo_colours.measure(studios["quarry-lane"], tomas)
    demo_lasting.watch(studios["quarry-lane"], tomas, wren, diary.today)
    demo_records.keep_records(studios["quarry-lane"], ines, tomas, wren, diary.today)
    demo_exports.add_exports(studios["quarry-lane"], ines)
    opened = timezone.localdate(diary.today) - timedelta(days=90)
    demo_barcodes.add_barcodes(studios["quarry-lane"], ines, opened.isoformat())
    return list(studios.values())


def _found(slug: str, facts: dict[str, Any]) -> Studio:
    studio = Studio.objects.create(
        slug=slug, name=facts["name"], jurisdiction=facts["jurisdiction"], currency=facts["currency"]
    )
    for username, role in facts["people"].items():
        person = User.objects.create_user(username, password=PASSWORD, first_name=username.capitalize())
        Membership.objects.create(studio=studio, user=person, role=role)
    Place.objects.bulk_create(Place(studio=studio, name=name) for name in facts["places"])
    return studio


def _keeper(studio: Studio) -> User:
    return studio.members.filter(memberships__role=Role.KEEPER).earliest("pk")


def _paint(studio: Studio, row: dict[str, str]) -> Item:
    texts = LabelTexts(
        name=row["name"],
        pigments=row["pigments"],
        lightfastness=row["lightfastness"],
        opacity=row["opacity"],
        strength=row["strength"],
    )
    return paints.add_paint(studio, by=_keeper(studio), texts=texts, binder=row["binder"], series=row["series"])


def _material(studio: Studio, row: dict[str, str]) -> Item:
    return paints.add_material(studio, name=row["name"], material_kind=row["material_kind"], cas=row["cas"])


def _shelve(studio: Studio, row: dict[str, str], item: Item, diary: Diary, chance: random.Random) -> None:
    """Plan the deliveries and uses that leave what the row says."""
    size = int(row["size_ml"]) * 1000
    left = size * int(row["left_percent"] or 100) // 100
    has_open = row["open"] == "1"
    monthly = float(row["uses_a_month"])
    amounts = [size * chance.randint(3, 12) // 100 for _ in range(round(monthly * 12))]
    used_up = max(0, round((sum(amounts) - (size - left)) / size)) if has_open else round(sum(amounts) / size)
    portions = [list(_portions(size, chance)) for _ in range(used_up)]
    if has_open:
        portions.append(list(_portions(size - left, chance, of=size)))
    moments = iter(diary.class_moments(sum(map(len, portions)), chance))
    for place, tube_portions in enumerate(portions):
        uses = [(next(moments), amount) for amount in tube_portions]
        first = uses[0][0] if uses else diary.today
        came = min((ago for ago in ORDER_DAYS if diary.delivery(ago) < first), default=ORDER_DAYS[0])
        _tube_life(studio, row, item, size, uses, diary.delivery(came), place < used_up, diary, chance)

    def receive(at: datetime) -> None:
        _receive(studio, row, item, size, at)

    for _ in range(int(row["sealed"])):
        came = ORDER_DAYS[-1] if monthly >= 1 else chance.choice(ORDER_DAYS)
        diary.add(diary.delivery(came), receive)
    if row["level"]:
        ReorderLevel.objects.create(
            item=item,
            level_tubes=int(row["level"]),
            counting=row.get("counting") or Counting.SEALED,
            set_by=_keeper(studio),
        )


def _portions(total: int, chance: random.Random, of: int | None = None) -> Iterator[int]:
    """Uneven amounts that add up to `total`, in steps of half a millilitre."""
    size = of or total
    while total > 0:
        portion = min(total, max(500, round(size * chance.randint(4, 14) / 100 / 500) * 500))
        yield portion
        total -= portion


def _receive(studio: Studio, row: dict[str, str], item: Item, size: int, at: datetime) -> Tube:
    owner = User.objects.filter(username=row.get("owner") or "", memberships__studio=studio).first()
    return services.receive(
        studio,
        item,
        nominal_milli=size,
        unit="ml",
        by=_keeper(studio),
        place=Place.objects.get(studio=studio, name=row["place"]),
        owner_kind=OwnerKind.MEMBER if owner else OwnerKind.STUDIO,
        owner=owner,
        at=at,
    )[0]


def _tube_life(
    studio: Studio,
    row: dict[str, str],
    item: Item,
    size: int,
    uses: list[tuple[datetime, int]],
    came: datetime,
    finished: bool,
    diary: Diary,
    chance: random.Random,
) -> None:
    held: list[Tube] = []
    people = list(studio.members.exclude(memberships__role=Role.STUDENT))
    diary.add(came, lambda at: held.append(_receive(studio, row, item, size, at)))

    def use(at: datetime, amount: int, last: bool, by: User) -> None:
        if last and finished:
            services.finish(held[0], by=by, at=at)
        else:
            services.record_use(held[0], amount_milli=amount, by=by, at=at)

    for place, (moment, amount) in enumerate(uses, start=1):
        person = chance.choice(people)
        last = place == len(uses)
        diary.add(moment, lambda at, a=amount, end=last, by=person: use(at, a, end, by))  # type: ignore[misc]


def _tell_some_stories(studio: Studio, diary: Diary) -> None:
    """A tube that moved, a slip that was corrected, one that was weighed, and an edit of many to take back."""
    tomas, ines = (User.objects.get(username=name) for name in ("tomas", "ines"))

    def open_tube(name: str, binder: str) -> Tube:
        tubes = Tube.objects.filter(studio=studio, item__name=name, item__paint__binder=binder)
        return tubes.filter(state=TubeState.OPEN).select_related("item").earliest("pk")

    def slip(at: datetime) -> None:
        tube = open_tube("Yellow Ochre", "oil")
        entry = services.record_use(tube, amount_milli=5_000, by=tomas, at=at)
        services.correct(entry, by=ines, change_milli=-500, reason="Typed 5 for 0.5 ml.", at=at)

    def weighing(at: datetime) -> None:
        tube = open_tube("Zinc White", "oil")
        services.weigh(tube, gross_milli_g=68_500, by=ines, at=at)

    def moving(at: datetime) -> None:
        sink = Place.objects.get(studio=studio, name="Sink shelf")
        services.move(open_tube("Burnt Umber", "oil"), place=sink, by=tomas, at=at)

    def dearer(at: datetime) -> None:
        """The new price list has the cadmiums a series higher."""
        cadmiums = Item.objects.of(studio).filter(name__startswith="Cadmium", paint__series="4").order_by("pk")
        finding.edit_paints(studio, list(cadmiums), by=ines, key="demo-series-of-cadmiums", series="5")
        ManyEdit.objects.filter(studio=studio).update(at=at)

    diary.add(diary.moment(2, 11, 30), dearer)
    diary.add(diary.moment(6, 18, 20), slip)
    diary.add(diary.moment(12, 17, 5), weighing)
    diary.add(diary.moment(3, 19, 40), moving)

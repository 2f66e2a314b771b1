"""100,000 tubes of three studios with a ledger that is in balance, made in a minute or less, for measuring."""

import random
from datetime import timedelta

from django.utils import timezone

from inventory.models import Binder, Entry, EntryKind, Paint, PaintPigment, Place, Tube, TubeState
from studio.models import Membership, Role, Studio, User

STUDIOS = {"large": 4000, "middle": 800, "small": 200}
TUBES_OF_A_PAINT = 20
SIZE_MILLI = 37_000
HELD_MILLI = {TubeState.SEALED: SIZE_MILLI, TubeState.OPEN: 20_000, TubeState.EMPTY: 0}


def fill(user: User, studios: dict[str, int] = STUDIOS) -> Studio:
    """Make the studios, with so many paints each, and return the first; `user` keeps them all and wrote every entry."""
    chance = random.Random(1)  # the same shelf in every run
    made = [_studio(slug, paints, user, chance) for slug, paints in studios.items()]
    return made[0]


def _studio(slug: str, paints: int, user: User, chance: random.Random) -> Studio:
    studio = Studio.objects.create(name=slug, slug=slug, last_tube_number=paints * TUBES_OF_A_PAINT)
    Membership.objects.create(studio=studio, user=user, role=Role.KEEPER)
    places = [Place.objects.create(studio=studio, name=f"Place {number}") for number in range(10)]
    tubes, lines = [], []
    for number in range(paints):
        name = f"{chance.choice(['Ochre', 'Blue', 'Red', 'Green', 'Umber'])} {number % max(1, paints // 2)}"
        paint = Paint.objects.create(studio=studio, name=name, binder=Binder.OIL, pigment_text="PB29")
        lines += [PaintPigment(paint=paint, position=place, code=f"PB{place}") for place in range(2)]
        for copy in range(1, TUBES_OF_A_PAINT + 1):
            state = chance.choice([TubeState.SEALED, TubeState.OPEN, TubeState.OPEN, TubeState.EMPTY])
            tubes.append(
                Tube(
                    studio=studio,
                    number=number * TUBES_OF_A_PAINT + copy,
                    item=paint,
                    nominal_milli=SIZE_MILLI,
                    balance_milli=HELD_MILLI[state],
                    state=state,
                    place=chance.choice(places),
                )
            )
    PaintPigment.objects.bulk_create(lines, batch_size=2000)
    Tube.objects.bulk_create(tubes, batch_size=2000)
    Entry.objects.bulk_create([entry for tube in tubes for entry in _life(tube, user)], batch_size=2000)
    return studio


def _life(tube: Tube, by: User) -> list[Entry]:
    """It came, it was moved to where it stands, and it was used or seen to be full."""
    now, sealed = timezone.now(), TubeState.SEALED
    used = tube.balance_milli - SIZE_MILLI
    last = EntryKind.USED if used else EntryKind.COUNTED
    here = tube.place_id
    life = [
        (EntryKind.RECEIVED, SIZE_MILLI, sealed, sealed, None, None),
        (EntryKind.MOVED, 0, sealed, sealed, None, here),
        (last, used, sealed, tube.state, here, here),
    ]
    return [
        Entry(
            studio_id=tube.studio_id,
            tube=tube,
            kind=kind,
            change_milli=change,
            state_before=before,
            state_after=after,
            place_before_id=was_at,
            place_after_id=is_at,
            by=by,
            at=now - timedelta(days=30 * ago),
        )
        for ago, (kind, change, before, after, was_at, is_at) in zip((3, 2, 1), life, strict=True)
    ]

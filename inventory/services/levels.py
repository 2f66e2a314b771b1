"""How much of an item the studio wants to have, as a person set it."""

from django.db import transaction

from inventory.models import Counting, Item, LevelBasis, ReorderLevel, Unit
from studio.models import User


@transaction.atomic
def set_level(
    item: Item,
    *,
    by: User,
    basis: str = LevelBasis.TUBES,
    level_tubes: int = 0,
    level_milli: int = 0,
    unit: str = Unit.ML,
    counting: str = Counting.SEALED,
    note: str = "",
) -> ReorderLevel:
    """Set the level of an item, or change it; `level_milli` is thousandths of the unit."""
    level = ReorderLevel.objects.filter(item=item).first() or ReorderLevel(item=item)
    level.basis, level.level_tubes, level.level_milli = basis, level_tubes, level_milli
    level.unit, level.counting, level.note, level.set_by = unit, counting, note, by
    level.full_clean()
    level.save()
    return level


@transaction.atomic
def remove_level(item: Item) -> bool:
    """Whether there was one."""
    deleted, _ = ReorderLevel.objects.filter(item=item).delete()
    return bool(deleted)

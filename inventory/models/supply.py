"""How much of each paint the studio wants to have."""

from django.db import models
from django.db.models import Q

from inventory.models.paint import Item
from inventory.models.tube import Unit
from studio.models import User


class LevelBasis(models.TextChoices):
    TUBES = "tubes", "Tubes"
    AMOUNT = "amount", "Amount"


class Counting(models.TextChoices):
    SEALED = "sealed", "Sealed only"
    USABLE = "usable", "Sealed and open"


class ReorderLevel(models.Model):
    """The level below which the first page speaks up. A person set it; nothing is forecast."""

    item = models.OneToOneField(Item, on_delete=models.CASCADE, related_name="level")
    basis = models.CharField(max_length=6, choices=LevelBasis.choices, default=LevelBasis.TUBES)
    level_tubes = models.PositiveIntegerField(default=0, help_text="For a level in tubes.")
    level_milli = models.PositiveBigIntegerField(default=0, help_text="For a level in ml or g, in thousandths.")
    unit = models.CharField(max_length=2, choices=Unit.choices, default=Unit.ML)
    counting = models.CharField(
        "what counts",
        max_length=8,
        choices=Counting.choices,
        default=Counting.SEALED,
        help_text="What counts as stock.",
    )
    note = models.CharField(max_length=200, blank=True)
    set_by = models.ForeignKey(
        User, null=True, on_delete=models.SET_NULL, related_name="+", help_text="NULL: has left."
    )
    set_at = models.DateTimeField(auto_now=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(basis="tubes", level_tubes__gt=0) | Q(basis="amount", level_milli__gt=0),
                name="level_above_zero",
                violation_error_message="Enter a level above 0, or take the level away.",
            ),
            models.CheckConstraint(condition=Q(counting__in=Counting.values), name="level_counting_known"),
        ]

    def __str__(self) -> str:
        return f"level of {self.item}"

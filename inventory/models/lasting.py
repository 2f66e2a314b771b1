"""What the studio watches for fading: its own window tests, and works that rest on fugitive pigments."""

from django.db import models
from django.db.models import F, Q

from inventory.models.paint import Item, Paint
from studio.models import Studio, User


class Exposure(models.TextChoices):
    HOURS = "hours", "Hours of daylight in the window"
    BLUE_WOOL = "blue wool", "Blue wool reference that has faded"


class LightTest(models.Model):
    """A swatch of one paint in the studio's own window: a studio test, never a rating by a standard."""

    paint = models.ForeignKey(Paint, on_delete=models.PROTECT, related_name="light_tests")
    swatch = models.CharField(max_length=80, blank=True, help_text="What was painted, such as: masstone, tint 1:9.")
    started_on = models.DateField()
    # CIELAB for D65 and the 10 degree observer.
    before = models.JSONField(help_text="L*, a*, b* on the first day.")
    given = models.JSONField(
        default=dict, help_text="That colour as typed and how it was read; sd is of each of L*, a*, b*."
    )
    ended_on = models.DateField(null=True, blank=True, help_text="NULL while it stands in the window.")
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    note = models.CharField(max_length=300, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True, help_text="NULL while it stands.")

    class Meta:
        ordering = ("-started_on", "-pk")
        constraints = [
            models.CheckConstraint(
                condition=Q(ended_on=None) | Q(ended_on__gte=F("started_on")), name="light_test_ends_after_its_start"
            )
        ]

    def __str__(self) -> str:
        return f"window test of {self.paint}"


class LightReading(models.Model):
    """One look at a window test."""

    test = models.ForeignKey(LightTest, on_delete=models.CASCADE, related_name="readings")
    on = models.DateField()
    after = models.JSONField(help_text="L*, a*, b* on that day.")
    given = models.JSONField(
        default=dict, help_text="That colour as typed and how it was read; sd is of each of L*, a*, b*."
    )
    exposure = models.CharField(max_length=10, choices=Exposure.choices)
    amount = models.PositiveIntegerField(help_text="Hours, or the number of the blue wool reference.")
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    withdrawn_at = models.DateTimeField(null=True, blank=True, help_text="NULL while it stands.")

    class Meta:
        ordering = ("on", "pk")
        constraints = [
            models.CheckConstraint(condition=Q(exposure__in=Exposure.values), name="light_reading_exposure_known"),
            models.CheckConstraint(condition=Q(amount__gt=0), name="light_reading_amount_above_zero"),
            models.CheckConstraint(
                condition=~Q(exposure="blue wool") | Q(amount__lte=8), name="light_reading_blue_wool_1_to_8"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.test} on {self.on.isoformat()}"


class Work(models.Model):
    """A painting or a stock of something that was made with certain paints."""

    studio = models.ForeignKey(Studio, on_delete=models.PROTECT, related_name="works")
    title = models.CharField(max_length=160)
    made_on = models.DateField(null=True, blank=True, help_text="NULL: not known.")
    where = models.CharField(max_length=160, blank=True)
    items: "models.ManyToManyField[Item, Item]" = models.ManyToManyField(Item, related_name="works")
    note = models.CharField(max_length=300, blank=True)
    by = models.ForeignKey(User, null=True, on_delete=models.SET_NULL, related_name="+", help_text="NULL: has left.")
    removed_at = models.DateTimeField(null=True, blank=True, help_text="NULL while it is listed.")

    class Meta:
        ordering = (F("made_on").desc(nulls_last=True), "-pk")
        constraints = [models.CheckConstraint(condition=~Q(title=""), name="work_titled")]

    def __str__(self) -> str:
        return self.title

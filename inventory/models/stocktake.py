"""Stocktakes, the codes on containers, and what people keep to find things again."""

from django.core.validators import RegexValidator
from django.db import models
from django.db.models import Q
from django.utils import timezone

from inventory.models.ledger import Entry
from inventory.models.paint import Item
from inventory.models.tube import Condition, Place, Tube, TubeState, Unit
from studio.models import Studio, User


class Stocktake(models.Model):
    """A count of one place, by several people and over several days if need be, until it is posted or dropped."""

    studio = models.ForeignKey(Studio, on_delete=models.PROTECT, related_name="stocktakes")
    # NULL: what stands at no known place.
    place = models.ForeignKey(Place, null=True, blank=True, on_delete=models.PROTECT, related_name="stocktakes")
    blind = models.BooleanField(default=False, help_text="Who counts is not shown what the books say.")
    reason = models.CharField(max_length=200, blank=True)
    started_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    started_at = models.DateTimeField(default=timezone.now)
    posted_by = models.ForeignKey(User, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    posted_at = models.DateTimeField(null=True, blank=True, help_text="NULL until the differences are entries.")
    dropped_at = models.DateTimeField(null=True, blank=True, help_text="NULL unless it was given up.")

    class Meta:
        ordering = ("-pk",)
        constraints = [
            models.CheckConstraint(condition=Q(posted_at=None) | Q(dropped_at=None), name="stocktake_ends_once"),
            models.CheckConstraint(
                condition=Q(posted_at=None, posted_by=None) | (~Q(posted_at=None) & ~Q(posted_by=None)),
                name="stocktake_posted_by_somebody",
            ),
        ]

    def __str__(self) -> str:
        return f"count of {self.place or 'no known place'}"


class CountLine(models.Model):
    """What somebody found of one tube. The newest line of a tube counts; the others stay."""

    stocktake = models.ForeignKey(Stocktake, on_delete=models.CASCADE, related_name="lines")
    tube = models.ForeignKey(Tube, on_delete=models.PROTECT, related_name="count_lines")
    seen = models.BooleanField(help_text="False: looked for and not there.")
    state = models.CharField(max_length=8, choices=TubeState.choices, blank=True)
    # NULL: not said how much is left.
    left_milli = models.PositiveBigIntegerField(null=True, blank=True)
    left_is_estimate = models.BooleanField(default=True)
    condition = models.CharField(max_length=10, choices=Condition.choices, blank=True)
    # What the books said at that moment: paint used between counting and posting is not counted as lost.
    book_milli = models.PositiveBigIntegerField()
    last_entry = models.ForeignKey(Entry, null=True, on_delete=models.PROTECT, related_name="+")
    posted_entry = models.OneToOneField(Entry, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    note = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)
    key = models.CharField(max_length=60, null=True, blank=True, help_text="NULL: sent without one.")

    class Meta:
        ordering = ("pk",)
        indexes = [models.Index(fields=["stocktake", "tube", "-id"], name="count_line_newest")]
        constraints = [
            models.UniqueConstraint(fields=["stocktake", "key"], condition=~Q(key=None), name="count_line_key_once"),
            models.CheckConstraint(
                condition=Q(seen=True) | Q(left_milli=None, state="", condition=""), name="count_line_missing_is_bare"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.tube}: {'seen' if self.seen else 'not there'}"


class FoundLine(models.Model):
    """Containers that were found and are not in the books: received with the count when it is posted."""

    stocktake = models.ForeignKey(Stocktake, on_delete=models.CASCADE, related_name="found")
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="+")
    containers = models.PositiveIntegerField(default=1)
    nominal_milli = models.PositiveBigIntegerField()
    unit = models.CharField(max_length=2, choices=Unit.choices, default=Unit.ML)
    state = models.CharField(max_length=8, choices=TubeState.choices, default=TubeState.SEALED)
    left_milli = models.PositiveBigIntegerField(null=True, blank=True, help_text="NULL: full.")
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)
    key = models.CharField(max_length=60, null=True, blank=True, help_text="NULL: sent without one.")

    class Meta:
        ordering = ("pk",)
        constraints = [
            models.UniqueConstraint(fields=["stocktake", "key"], condition=~Q(key=None), name="found_line_key_once"),
            models.CheckConstraint(condition=Q(containers__gt=0, nominal_milli__gt=0), name="found_line_whole"),
        ]

    def __str__(self) -> str:
        return f"{self.containers} of {self.item} found"


class Barcode(models.Model):
    """The maker's EAN or UPC number of one size of an item, as 13 digits."""

    studio = models.ForeignKey(Studio, on_delete=models.CASCADE, related_name="barcodes")
    item = models.ForeignKey(Item, on_delete=models.CASCADE, related_name="barcodes")
    digits = models.CharField(
        max_length=14, validators=[RegexValidator(r"^\d{8}$|^\d{13}$|^\d{14}$", "Enter the 8, 12, 13 or 14 digits.")]
    )
    # NULL: the size that it stands for was not said.
    nominal_milli = models.PositiveBigIntegerField(null=True, blank=True)
    unit = models.CharField(max_length=2, choices=Unit.choices, default=Unit.ML)
    by = models.ForeignKey(User, null=True, on_delete=models.SET_NULL, related_name="+", help_text="NULL: has left.")

    class Meta:
        ordering = ("digits",)
        constraints = [
            models.UniqueConstraint(
                fields=["studio", "digits"],
                name="barcode_once",
                violation_error_message="This number already belongs to another paint or material here.",
            )
        ]

    def __str__(self) -> str:
        return self.digits


class SavedFilter(models.Model):
    """A way of looking at the shelf that somebody wants again."""

    studio = models.ForeignKey(Studio, on_delete=models.CASCADE, related_name="saved_filters")
    by = models.ForeignKey(User, on_delete=models.CASCADE, related_name="saved_filters")
    name = models.CharField(max_length=80)
    query = models.CharField(max_length=1000, help_text="As it stands in the address.")
    shared = models.BooleanField(default=False, help_text="Everybody in the studio sees it.")

    class Meta:
        ordering = ("name",)
        constraints = [
            models.UniqueConstraint(
                fields=["studio", "by", "name"],
                name="saved_filter_name_once",
                violation_error_message="You already keep a filter of this name.",
            )
        ]

    def __str__(self) -> str:
        return self.name


class ManyEdit(models.Model):
    """What one edit of many paints and materials changed, so that it can be taken back as one deed."""

    studio = models.ForeignKey(Studio, on_delete=models.CASCADE, related_name="many_edits")
    key = models.CharField(max_length=60, help_text="One tap is one edit, however often it is sent.")
    what = models.CharField(max_length=10, help_text="The field, or level, or archive.")
    changes = models.JSONField(help_text="Of each item its key, what stood before and what stands since.")
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)
    # NULL: it stands.
    undone_at = models.DateTimeField(null=True, blank=True)
    undone_by = models.ForeignKey(User, null=True, blank=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("-pk",)
        constraints = [models.UniqueConstraint(fields=["studio", "key"], name="many_edit_key_once")]

    def __str__(self) -> str:
        return f"{self.what} of {len(self.changes)}"


class ImportSource(models.Model):
    """How the columns of one kind of file were named, so that the next one of it is understood at once."""

    studio = models.ForeignKey(Studio, on_delete=models.CASCADE, related_name="import_sources")
    headings = models.CharField(max_length=64, help_text="Fingerprint of the headings in their order.")
    names = models.JSONField(default=list, help_text="The headings themselves, as typed.")
    mapping = models.JSONField(default=dict)
    settings = models.JSONField(default=dict)
    used_at = models.DateTimeField(auto_now=True)
    by = models.ForeignKey(User, null=True, on_delete=models.SET_NULL, related_name="+", help_text="NULL: has left.")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["studio", "headings"], name="import_source_once")]

    def __str__(self) -> str:
        return f"columns of {self.studio}"

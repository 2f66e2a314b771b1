"""A table on its way in: kept as typed until a person has looked at it and said yes."""

from django.db import models
from django.db.models import Q

from inventory.models.paint import Item
from studio.models import Studio, User


class BatchState(models.TextChoices):
    MAPPING = "mapping", "Columns to be named"
    READING = "reading", "Being read"
    READY = "ready", "Ready to look through"
    COMMITTED = "committed", "Taken in"
    DROPPED = "dropped", "Dropped"
    TAKEN_BACK = "taken back", "Taken back"


class ImportBatch(models.Model):
    """One file that somebody gave, with the columns as they mapped them."""

    studio = models.ForeignKey(Studio, on_delete=models.CASCADE, related_name="imports")
    file_name = models.CharField(max_length=200)
    encoding = models.CharField(max_length=20)
    delimiter = models.CharField(max_length=4, blank=True)
    decimal_comma = models.BooleanField(default=False)
    columns = models.JSONField(default=list, help_text="The headings, in order, as typed.")
    mapping = models.JSONField(default=dict, help_text="Our field by the column's place.")
    skipped = models.JSONField(default=list, help_text="Title lines and repeated headings: line number and why.")
    settings = models.JSONField(default=dict, help_text="What holds for every row that does not say otherwise.")
    state = models.CharField(max_length=10, choices=BatchState.choices, default=BatchState.MAPPING)
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)
    committed_at = models.DateTimeField(null=True, blank=True, help_text="NULL until taken in.")
    taken_back_at = models.DateTimeField(null=True, blank=True, help_text="NULL unless it was taken back.")
    taken_back_by = models.ForeignKey(User, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    # Thousands of paints are not drawn in the request that takes them in. NULL: every one is drawn.
    drawn_up_to = models.PositiveBigIntegerField(
        null=True, blank=True, help_text="Of its new paints those up to this key are drawn; NULL: all."
    )

    class Meta:
        ordering = ("-pk",)
        constraints = [
            models.CheckConstraint(condition=Q(state__in=BatchState.values), name="import_batch_state_known")
        ]

    def __str__(self) -> str:
        return self.file_name

    @property
    def colour_table(self) -> str:
        """Which of our tables of colours it is; "" for a list of paints."""
        return str(self.settings.get("table", ""))


class RowState(models.TextChoices):
    UNREAD = "unread", "Not read yet"
    CLEAR = "clear", "Understood"
    DOUBT = "doubt", "Doubtful"
    ERROR = "error", "Cannot be taken in"
    PRESENT = "present", "Already there"
    LEFT_OUT = "left out", "Left out by you"


class ImportRow(models.Model):
    """One line of the file: the cells as typed, what was read, the doubts, what the person chose."""

    batch = models.ForeignKey(ImportBatch, on_delete=models.CASCADE, related_name="rows")
    line = models.PositiveIntegerField()
    cells = models.JSONField()
    read = models.JSONField(default=dict)
    doubts = models.JSONField(default=list)
    chosen = models.JSONField(default=dict)
    digest = models.CharField(max_length=64, blank=True)
    state = models.CharField(max_length=10, choices=RowState.choices, default=RowState.UNREAD)

    class Meta:
        ordering = ("line",)
        constraints = [
            models.UniqueConstraint(fields=["batch", "line"], name="import_row_line_once"),
            models.CheckConstraint(condition=Q(state__in=RowState.values), name="import_row_state_known"),
        ]
        indexes = [models.Index(fields=["batch", "state", "line"], name="import_row_by_state")]

    def __str__(self) -> str:
        return f"line {self.line}"


class ImportedRow(models.Model):
    """A row that was taken in, by its digest, so that the same file given twice adds nothing; and what it brought."""

    studio = models.ForeignKey(Studio, on_delete=models.CASCADE, related_name="+")
    digest = models.CharField(max_length=64)
    # NULL: taken in before it was kept what a row brought.
    batch = models.ForeignKey(ImportBatch, null=True, blank=True, on_delete=models.CASCADE, related_name="brought")
    line = models.PositiveIntegerField(null=True, blank=True)
    item = models.ForeignKey(Item, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    made_item = models.BooleanField(default=False, help_text="The paint or material was not there before.")
    first_number = models.PositiveIntegerField(null=True, blank=True, help_text="Of its tubes; NULL: it brought none.")
    tubes = models.PositiveIntegerField(default=0)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["studio", "digest"], name="imported_row_once")]
        indexes = [models.Index(fields=["batch", "item"], name="imported_row_of_batch")]

    def __str__(self) -> str:
        return self.digest

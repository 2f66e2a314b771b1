"""The ledger: one line for each thing that happened to a tube, written once and never changed."""

from typing import Any, NoReturn

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils import timezone

from inventory.models.tube import Condition, Place, Tube, TubeState
from studio.models import AppendOnlyError as AppendOnlyError
from studio.models import Studio, User


class EntryKind(models.TextChoices):
    RECEIVED = "received", "Received"
    USED = "used", "Used"
    WEIGHED = "weighed", "Weighed"
    MOVED = "moved", "Moved"
    LENT = "lent", "Lent"
    RETURNED = "returned", "Returned"
    COUNTED = "counted", "Counted"
    DISCARDED = "discarded", "Discarded"
    EXAMINED = "examined", "Looked at"
    CORRECTED = "corrected", "Corrected"


# The name under which an entry keeps whose the tube was and is.
OWNER = "owner"


class EntryQuerySet(models.QuerySet["Entry"]):
    def of(self, studio: Studio) -> "EntryQuerySet":
        return self.filter(studio=studio)

    def update(self, **kwargs: Any) -> NoReturn:
        raise AppendOnlyError("An entry is never changed: write a correcting entry.")

    def delete(self) -> NoReturn:
        raise AppendOnlyError("An entry is never deleted: write a correcting entry.")


class Entry(models.Model):
    """A line of the append-only ledger. Database triggers refuse to change or delete it, whoever asks."""

    studio = models.ForeignKey(Studio, on_delete=models.PROTECT, related_name="entries")
    tube = models.ForeignKey(Tube, on_delete=models.PROTECT, related_name="entries")
    kind = models.CharField(max_length=10, choices=EntryKind.choices)
    change_milli = models.BigIntegerField(help_text="Added to the balance, in thousandths of the tube's unit.")
    is_estimate = models.BooleanField(default=False)
    # What the scale showed. NULL: nothing was weighed.
    gross_milli_g = models.PositiveBigIntegerField(null=True, blank=True, validators=[MinValueValidator(1)])
    state_before = models.CharField(max_length=8, choices=TubeState.choices)
    state_after = models.CharField(max_length=8, choices=TubeState.choices)
    place_before = models.ForeignKey(Place, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    place_after = models.ForeignKey(Place, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    # Empty where the condition was not looked at.
    condition_before = models.CharField(max_length=10, choices=Condition.choices, blank=True, default="")
    condition_after = models.CharField(max_length=10, choices=Condition.choices, blank=True, default="")
    # What it set beside the amount, such as the container's weight: name to [before, after]. NULL: nothing.
    facts = models.JSONField(null=True, blank=True, editable=False)
    note = models.CharField(max_length=300, blank=True)
    corrects = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="corrected_by", help_text="NULL: none."
    )
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="entries")
    at = models.DateTimeField(default=timezone.now, help_text="When it happened.")
    written_at = models.DateTimeField(auto_now_add=True)
    # One tap is one entry, however often it is sent. NULL: written by an import or a command.
    key = models.CharField(max_length=64, null=True, blank=True)

    objects = EntryQuerySet.as_manager()

    class Meta:
        ordering = ("-pk",)
        verbose_name_plural = "entries"
        indexes = [models.Index(fields=["studio", "-id"], name="entry_latest_first")]
        constraints = [
            models.UniqueConstraint(fields=["studio", "key"], condition=~Q(key=None), name="entry_key_once"),
            models.CheckConstraint(condition=Q(kind__in=EntryKind.values), name="entry_kind_known"),
            models.CheckConstraint(
                condition=~Q(kind="received") | Q(change_milli__gte=0), name="entry_received_not_below_zero"
            ),
            models.CheckConstraint(
                condition=~Q(kind__in=["used", "discarded"]) | Q(change_milli__lte=0), name="entry_used_not_above_zero"
            ),
            models.CheckConstraint(
                condition=~Q(kind__in=["moved", "examined"]) | Q(change_milli=0), name="entry_moved_changes_nothing"
            ),
            models.CheckConstraint(
                condition=~Q(kind="corrected") | ~Q(corrects=None), name="entry_correction_names_its_entry"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.change_milli} of tube {self.tube_id}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        if not self._state.adding:
            raise AppendOnlyError("An entry is never changed: write a correcting entry.")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        raise AppendOnlyError("An entry is never deleted: write a correcting entry.")

    @property
    def changes_owner(self) -> bool:
        """Whether the tube belongs to somebody else by it; that it was shared is another thing."""
        before, after = (self.facts or {}).get(OWNER, ([], []))
        return bool(before[:3] != after[:3])

    @property
    def moves_nothing(self) -> bool:
        """Neither place nor owner is another by it, as where a thing was moved to where it stood."""
        stayed = self.kind == EntryKind.MOVED and self.place_before_id == self.place_after_id
        return stayed and OWNER not in (self.facts or {})

    def is_left_to_keepers(self, person: User) -> bool:
        """Whose a tube is, keepers put right; whether it counts for the studio, its owner as well."""
        return self.changes_owner or (OWNER in (self.facts or {}) and self.tube.owner_id != person.pk)

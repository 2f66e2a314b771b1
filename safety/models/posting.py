"""Where printed papers hang, since when, and who took them down."""

from typing import Self

from django.db import models
from django.db.models import F, Q

from inventory.models import Room
from safety.models.notice import Notice
from studio.models import Studio, User


class PostingQuerySet(models.QuerySet["Posting"]):
    def of(self, studio: Studio) -> Self:
        return self.filter(studio=studio)

    def hanging(self) -> Self:
        return self.filter(taken_down_at=None)


class Posting(models.Model):
    """One paper at one place; one paper may hang in several. What was taken down stays on record."""

    studio = models.ForeignKey(Studio, on_delete=models.PROTECT, related_name="postings")
    notice = models.ForeignKey(Notice, on_delete=models.PROTECT, related_name="postings")
    room = models.ForeignKey(
        Room, null=True, blank=True, on_delete=models.PROTECT, related_name="postings", help_text="NULL: not said."
    )
    where = models.CharField("where it hangs", max_length=120, blank=True, help_text="Such as: above the sink.")
    hung_at = models.DateTimeField()
    hung_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    # NULL while it hangs.
    taken_down_at = models.DateTimeField(null=True, blank=True)
    taken_down_by = models.ForeignKey(User, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    # One to one: of two people who replace a posting, one does.
    replaces = models.OneToOneField(
        "self",
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="replaced_by",
        help_text="NULL: nothing hung there before.",
    )

    objects = PostingQuerySet.as_manager()

    class Meta:
        ordering = ("-pk",)
        indexes = [
            models.Index(fields=["studio", "room"], condition=Q(taken_down_at=None), name="posting_hanging"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=~Q(room=None) | ~Q(where=""),
                name="posting_hangs_somewhere",
                violation_error_message="Say where it hangs: choose a room, or write the place.",
            ),
            models.CheckConstraint(
                condition=Q(taken_down_at=None, taken_down_by=None)
                | (~Q(taken_down_by=None) & Q(taken_down_at__gte=F("hung_at"))),
                name="posting_taken_down_after_hung",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.notice}: {self.place}"

    @property
    def place(self) -> str:
        """Room and place in words: "Room 2, above the sink"."""
        return ", ".join(filter(None, (self.room.name if self.room else "", self.where)))

    @property
    def hangs(self) -> bool:
        return self.taken_down_at is None

"""Printed cautions: what each said on the day it was made, and where it hangs."""

from typing import Any, Self

from django.db import models
from django.db.models import F, Q

from inventory.models import Item
from studio.models import Studio, User


class NoticeQuerySet(models.QuerySet["Notice"]):
    def of(self, studio: Studio) -> Self:
        return self.filter(studio=studio)

    def hanging(self) -> Self:
        return self.filter(taken_down_at=None).exclude(hung_at=None)


class Notice(models.Model):
    """A printable caution for one item. It keeps all that it says, so that it prints the same for ever."""

    studio = models.ForeignKey(Studio, on_delete=models.PROTECT, related_name="notices")
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="notices")
    made_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    # All of safety.rules.notice.NoticeContent but its fact lines, which stand beside it.
    content: "models.JSONField[dict[str, Any], dict[str, Any]]" = models.JSONField()
    facts: "models.JSONField[list[str], list[str]]" = models.JSONField(
        help_text="The fact lines that the fingerprint is made of."
    )
    fingerprint = models.CharField(max_length=14)
    # NULL, and an empty place: it was made but not hung.
    hung_at = models.DateTimeField(null=True, blank=True)
    hung_by = models.ForeignKey(User, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    hung_where = models.CharField("where it hangs", max_length=120, blank=True)
    # NULL while it hangs, or was never hung.
    taken_down_at = models.DateTimeField(null=True, blank=True)
    taken_down_by = models.ForeignKey(User, null=True, blank=True, on_delete=models.PROTECT, related_name="+")

    objects = NoticeQuerySet.as_manager()

    class Meta:
        ordering = ("-pk",)
        indexes = [
            models.Index(fields=["item", "-id"], name="notice_latest_of_item"),
            models.Index(
                fields=["studio"], condition=Q(taken_down_at=None, hung_at__isnull=False), name="notice_hanging"
            ),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(hung_at=None, hung_by=None, hung_where="")
                | (~Q(hung_at=None) & ~Q(hung_by=None) & ~Q(hung_where="")),
                name="notice_hung_somewhere_by_somebody",
                violation_error_message="Say where the notice hangs.",
            ),
            models.CheckConstraint(
                condition=Q(taken_down_at=None, taken_down_by=None)
                | (~Q(hung_at=None) & ~Q(taken_down_by=None) & Q(taken_down_at__gte=F("hung_at"))),
                name="notice_taken_down_after_hung",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.item}, {self.fingerprint}"

    @property
    def hangs(self) -> bool:
        return self.hung_at is not None and self.taken_down_at is None

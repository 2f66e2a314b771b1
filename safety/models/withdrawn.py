"""Records that turn out to be a mistake: they stay, with who took them back and why."""

from typing import Self

from django.db import models
from django.db.models import Q

from studio.models import User


class RecordQuerySet(models.QuerySet):
    def standing(self) -> Self:
        """Without those that turned out to be a mistake."""
        return self.filter(withdrawn_at=None)


class Withdrawable(models.Model):
    withdrawn_at = models.DateTimeField(null=True, blank=True, editable=False, help_text="NULL while it stands.")
    withdrawn_by = models.ForeignKey(
        User, null=True, blank=True, editable=False, on_delete=models.PROTECT, related_name="+"
    )
    withdrawn_why = models.CharField(max_length=200, blank=True, editable=False)

    objects = RecordQuerySet.as_manager()

    class Meta:
        abstract = True
        constraints = [
            models.CheckConstraint(
                condition=Q(withdrawn_at=None, withdrawn_by=None, withdrawn_why="")
                | (~Q(withdrawn_at=None) & ~Q(withdrawn_by=None) & ~Q(withdrawn_why="")),
                name="%(class)s_withdrawn_by_somebody",
            ),
        ]

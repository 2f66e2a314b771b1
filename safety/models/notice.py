"""Printed papers: what each said on the day it was made. Where they hang is told by their postings."""

from typing import Any, Self

from django.db import models
from django.db.models import Q

from inventory.models import Group, Item, Palette, Room
from studio.models import Studio, User


class PaperKind(models.TextChoices):
    """The papers that hang somewhere and can go out of date."""

    NOTICE = "notice", "Notice"
    CLASS = "class", "Class page"
    POSTER = "poster", "Room poster"
    DOOR = "door", "Door sheet"
    GROUP = "group", "Class list"


# Which of a notice's columns names what it is about.
ABOUT = {
    PaperKind.NOTICE: "item",
    PaperKind.CLASS: "palette",
    PaperKind.POSTER: "room",
    PaperKind.DOOR: "room",
    PaperKind.GROUP: "group",
}


class NoticeQuerySet(models.QuerySet["Notice"]):
    def of(self, studio: Studio) -> Self:
        return self.filter(studio=studio)

    def for_items(self) -> Self:
        return self.filter(kind=PaperKind.NOTICE)


class Notice(models.Model):
    """A printed caution: for an item, a room, a palette or a group. It keeps what it says and prints the same."""

    studio = models.ForeignKey(Studio, on_delete=models.PROTECT, related_name="notices")
    kind = models.CharField(max_length=6, choices=PaperKind.choices, default=PaperKind.NOTICE)
    # What it is about; the constraint below says which kind needs which.
    item = models.ForeignKey(Item, null=True, blank=True, on_delete=models.PROTECT, related_name="notices")
    # NULL on a class page: it tells every room.
    room = models.ForeignKey(Room, null=True, blank=True, on_delete=models.PROTECT, related_name="papers")
    palette = models.ForeignKey(Palette, null=True, blank=True, on_delete=models.PROTECT, related_name="papers")
    # Whom a class list or a class page is for. NULL on a class page: for everybody.
    group = models.ForeignKey(Group, null=True, blank=True, on_delete=models.PROTECT, related_name="papers")
    made_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    # All of the content but its fact lines, which stand beside it.
    content: "models.JSONField[dict[str, Any], dict[str, Any]]" = models.JSONField()
    facts: "models.JSONField[list[str], list[str]]" = models.JSONField(
        help_text="The fact lines that the fingerprint is made of."
    )
    fingerprint = models.CharField(max_length=14)

    objects = NoticeQuerySet.as_manager()

    class Meta:
        ordering = ("-pk",)
        indexes = [
            models.Index(fields=["item", "-id"], name="notice_latest_of_item"),
            models.Index(fields=["room", "kind", "-id"], name="notice_latest_of_room"),
            models.Index(fields=["palette", "-id"], name="notice_latest_of_palette"),
        ]
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=PaperKind.values), name="notice_kind_known"),
            models.CheckConstraint(
                condition=Q(kind="notice", item__isnull=False, room=None, palette=None, group=None)
                | Q(kind__in=["poster", "door"], item=None, room__isnull=False, palette=None, group=None)
                | Q(kind="class", item=None, palette__isnull=False)
                | Q(kind="group", item=None, room=None, palette=None, group__isnull=False),
                name="notice_about_what_its_kind_says",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} for {self.subject}, {self.fingerprint}"

    @property
    def subject(self) -> Item | Room | Palette | Group:
        """The thing that it is about."""
        found: Item | Room | Palette | Group | None = getattr(self, ABOUT[PaperKind(self.kind)])
        if found is None:
            raise RuntimeError(f"Notice {self.pk} is about nothing.")
        return found

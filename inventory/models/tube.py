"""Containers: the physical things that stand on a shelf."""

from typing import Self

from django.db import models
from django.db.models import Case, F, Q, When

from inventory.models.paint import Item
from inventory.stock.amounts import exact as exact
from studio.models import Studio, User


class Room(models.Model):
    """A room of the house: places stand in it, notices hang in it, lessons are held in it."""

    studio = models.ForeignKey(Studio, on_delete=models.PROTECT, related_name="rooms")
    name = models.CharField(max_length=80)
    # NULL while it is used; what happened in it keeps its name.
    removed_at = models.DateTimeField(null=True, blank=True, editable=False)

    class Meta:
        ordering = ("name",)
        constraints = [
            models.UniqueConstraint(
                fields=["studio", "name"],
                name="room_name_once",
                violation_error_message="This studio already has a room of this name.",
            ),
            models.CheckConstraint(condition=~Q(name=""), name="room_named"),
        ]

    def __str__(self) -> str:
        return self.name


class Place(models.Model):
    """Where things stand."""

    studio = models.ForeignKey(Studio, on_delete=models.PROTECT, related_name="places")
    room = models.ForeignKey(
        Room, null=True, blank=True, on_delete=models.PROTECT, related_name="places", help_text="NULL: not said."
    )
    name = models.CharField(max_length=80)
    notes = models.CharField(max_length=200, blank=True)
    # NULL while it is there. A place that was taken away stays in the ledger, which names it.
    removed_at = models.DateTimeField(null=True, blank=True, editable=False)

    class Meta:
        ordering = ("name",)
        constraints = [
            models.UniqueConstraint(
                fields=["studio", "name"],
                name="place_name_once",
                violation_error_message="This studio already has a place of this name.",
            )
        ]

    def __str__(self) -> str:
        return self.name


class Unit(models.TextChoices):
    ML = "ml", "ml"
    G = "g", "g"


class TubeState(models.TextChoices):
    SEALED = "sealed", "Sealed"
    OPEN = "open", "Open"
    EMPTY = "empty", "Empty"


class Condition(models.TextChoices):
    """Whether what is in it can still be used: a tube owned is not a tube usable."""

    USABLE = "usable", "Usable"
    DRIED = "dried", "Dried up"
    SEPARATED = "separated", "Separated"
    MOULDY = "mouldy", "Mouldy"
    OTHER = "other", "Not usable, see the note"


class OwnerKind(models.TextChoices):
    STUDIO = "studio", "Studio"
    MEMBER = "member", "Member"
    CLASS = "class", "Class"


def of_the_studio(tube: str = "") -> Q:
    """What counts for the studio's own orders and wheel: its own, and what a member or a class shares with it.

    `tube` leads from what is asked for to its tube, such as "tube__".
    """
    return Q(**{f"{tube}owner_kind": OwnerKind.STUDIO}) | Q(**{f"{tube}shared": True})


class TubeQuerySet(models.QuerySet["Tube"]):
    def of(self, studio: Studio) -> Self:
        return self.filter(studio=studio)

    def in_use(self) -> Self:
        return self.exclude(state=TubeState.EMPTY)

    def usable(self) -> Self:
        return self.in_use().filter(condition=Condition.USABLE)

    def of_the_studio(self) -> Self:
        return self.filter(of_the_studio())

    def usual_last(self) -> Self:
        """The last one has the size in which its item is bought: the studio's newest, else that of its members."""
        return self.order_by(Case(When(of_the_studio(), then=1), default=0), "pk")


class Tube(models.Model):
    """One physical thing. Its balance is the sum of its entries, kept beside them and checked by a command."""

    studio = models.ForeignKey(Studio, on_delete=models.PROTECT, related_name="tubes")
    number = models.PositiveIntegerField(editable=False, help_text="Written on the tube; unique in the studio.")
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="tubes")
    unit = models.CharField(max_length=2, choices=Unit.choices, default=Unit.ML)
    nominal_milli = models.PositiveBigIntegerField(help_text="Size on the label, in thousandths of the unit.")
    balance_milli = models.PositiveBigIntegerField(default=0, editable=False)
    balance_is_estimate = models.BooleanField(default=False, editable=False)
    state = models.CharField(max_length=8, choices=TubeState.choices, default=TubeState.SEALED)
    condition = models.CharField(max_length=10, choices=Condition.choices, default=Condition.USABLE)
    # NULL: nobody weighed the empty container.
    tare_milli_g = models.PositiveBigIntegerField(null=True, blank=True)
    place = models.ForeignKey(
        Place, null=True, blank=True, on_delete=models.PROTECT, related_name="tubes", help_text="NULL: place not known."
    )
    owner_kind = models.CharField(max_length=8, choices=OwnerKind.choices, default=OwnerKind.STUDIO)
    owner = models.ForeignKey(
        User, null=True, blank=True, on_delete=models.PROTECT, related_name="tubes", help_text="NULL unless a member's."
    )
    owner_class = models.CharField(max_length=80, blank=True)
    shared = models.BooleanField(default=False, help_text="Its owner lets it count for the studio's orders and wheel.")
    batch = models.CharField(max_length=60, blank=True)
    opened_on = models.DateField(null=True, blank=True, help_text="NULL: not opened, or not known when.")
    note = models.CharField(max_length=200, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)

    objects = TubeQuerySet.as_manager()

    class Meta:
        ordering = ("item__sort_name", "pk")
        indexes = [
            models.Index(fields=["studio", "state"], name="tube_by_state"),
            models.Index(fields=["item", "id"], condition=~Q(state="empty"), name="tube_of_item_in_use"),
        ]
        constraints = [
            models.UniqueConstraint(fields=["studio", "number"], name="tube_number_once"),
            models.CheckConstraint(condition=Q(state__in=TubeState.values), name="tube_state_known"),
            models.CheckConstraint(condition=Q(condition__in=Condition.values), name="tube_condition_known"),
            models.CheckConstraint(condition=Q(unit__in=Unit.values), name="tube_unit_known"),
            models.CheckConstraint(condition=Q(nominal_milli__gt=0), name="tube_size_above_zero"),
            models.CheckConstraint(condition=Q(balance_milli__gte=0), name="tube_balance_not_below_zero"),
            models.CheckConstraint(
                condition=Q(balance_milli__lte=F("nominal_milli")),
                name="tube_balance_at_most_nominal",
                violation_error_message="A tube cannot hold more than its size.",
            ),
            models.CheckConstraint(condition=~Q(state="empty") | Q(balance_milli=0), name="tube_empty_holds_nothing"),
            models.CheckConstraint(
                condition=Q(owner_kind="studio", owner=None, owner_class="")
                | (Q(owner_kind="member", owner_class="") & ~Q(owner=None))
                | (Q(owner_kind="class", owner=None) & ~Q(owner_class="")),
                name="tube_owner_fits_kind",
                violation_error_message="Name the member, or the class, that owns it; or let the studio own it.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.item.name}, no. {self.number}"

    @property
    def balance(self) -> str:
        return exact(self.balance_milli, self.unit)

    @property
    def nominal(self) -> str:
        return exact(self.nominal_milli, self.unit)

    @property
    def whose_words(self) -> str:
        """'the studio's', 'Wren's own', 'of the class Evening drawing'."""
        if self.owner_kind == OwnerKind.MEMBER:
            return f"{self.owner}'s own"
        return f"of the class {self.owner_class}" if self.owner_class else "the studio's"

    @property
    def owner_words(self) -> str:
        if self.owner_kind == OwnerKind.MEMBER:
            return str(self.owner)
        return self.owner_class or "Studio"

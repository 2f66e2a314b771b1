"""What a room's papers say of it, and the records that are kept in it."""

from hashlib import sha256

from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from inventory.models import Item, Room
from safety.models.withdrawn import Withdrawable
from safety.rules.notice import mark
from studio.models import Studio, User


class RoomFacts(models.Model):
    """The house's own facts of one room, as they are printed on its door and its wall. Blank: not written down."""

    room = models.OneToOneField(Room, on_delete=models.CASCADE, related_name="facts")
    keeper = models.CharField("who is in charge", max_length=160, blank=True)
    call = models.CharField("whom to call", max_length=200, blank=True)
    rags = models.CharField("where oily rags go", max_length=200, blank=True)
    waste = models.CharField("where waste goes", max_length=200, blank=True)
    eyewash = models.CharField("eyewash", max_length=200, blank=True)
    extinguisher = models.CharField("extinguisher", max_length=200, blank=True)
    spill_kit = models.CharField("spill kit", max_length=200, blank=True)
    extraction = models.CharField("extraction and windows", max_length=200, blank=True)
    first_aid = models.CharField("first aid box", max_length=200, blank=True)
    way_out = models.CharField("way out and meeting point", max_length=200, blank=True)
    # Litres and litres an hour. NULL: nobody measured.
    volume_litres = models.PositiveBigIntegerField(null=True, blank=True)
    fresh_air_litres_hour = models.PositiveBigIntegerField(null=True, blank=True)
    set_by = models.ForeignKey(User, null=True, on_delete=models.SET_NULL, related_name="+")
    set_at = models.DateTimeField(auto_now=True)

    class Meta:
        verbose_name_plural = "room facts"

    def __str__(self) -> str:
        return f"facts of {self.room}"

    @property
    def seen(self) -> str:
        """What a form was opened with; another one means that somebody wrote something down in between."""
        return self.set_at.isoformat()


class InspectionSubject(models.TextChoices):
    WASTE_AREA = "waste area", "Waste area"
    EYEWASH = "eyewash", "Eyewash"
    EXTRACTION = "extraction", "Extraction"
    SPILL_KIT = "spill kit", "Spill kit"
    RAG_CAN = "rag can", "Rag can"
    EXTINGUISHER = "extinguisher", "Extinguisher"
    FIRST_AID = "first aid", "First aid box"
    OTHER = "other", "Something else"


class Finding(models.TextChoices):
    IN_ORDER = "in order", "In order"
    NEEDS_WORK = "needs work", "Needs work"


class Inspection(Withdrawable):
    """Somebody looked at something on a day and said what they found. A mistake is withdrawn, never deleted."""

    studio = models.ForeignKey(Studio, on_delete=models.PROTECT, related_name="inspections")
    room = models.ForeignKey(Room, null=True, blank=True, on_delete=models.PROTECT, related_name="inspections")
    subject = models.CharField(max_length=12, choices=InspectionSubject.choices)
    what = models.CharField(max_length=120, blank=True, help_text="Which one, or what else was looked at.")
    done_on = models.DateField()
    finding = models.CharField(max_length=10, choices=Finding.choices)
    note = models.CharField(max_length=300, blank=True)
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField(auto_now_add=True)
    # NULL: nothing was to be mended, or it is not mended yet.
    mended_on = models.DateField(null=True, blank=True)
    mended_by = models.ForeignKey(User, null=True, blank=True, on_delete=models.PROTECT, related_name="+")

    class Meta(Withdrawable.Meta):
        ordering = ("-done_on", "-pk")
        indexes = [models.Index(fields=["studio", "subject", "-done_on"], name="inspection_latest")]
        constraints = [
            *Withdrawable.Meta.constraints,
            models.CheckConstraint(condition=Q(subject__in=InspectionSubject.values), name="inspection_subject_known"),
            models.CheckConstraint(condition=Q(finding__in=Finding.values), name="inspection_finding_known"),
            models.CheckConstraint(
                condition=Q(mended_on=None) | Q(mended_on__gte=F("done_on")), name="inspection_mended_after_found"
            ),
            models.CheckConstraint(
                condition=~Q(subject="other") | ~Q(what=""),
                name="inspection_says_what",
                violation_error_message="Say what was looked at.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_subject_display()}, {self.done_on.isoformat()}"


class WasteContainer(Withdrawable):
    """A container of waste from its first drop to its collection. One opened by mistake is withdrawn."""

    studio = models.ForeignKey(Studio, on_delete=models.PROTECT, related_name="waste_containers")
    room = models.ForeignKey(Room, null=True, blank=True, on_delete=models.PROTECT, related_name="waste_containers")
    number = models.PositiveIntegerField(editable=False)
    contents = models.CharField(max_length=400, help_text="In full words, no abbreviations or formulas.")
    went_in: "models.ManyToManyField[Item, WentIn]" = models.ManyToManyField(
        Item, through="WentIn", related_name="+", blank=True
    )
    hazards = models.CharField(max_length=200, blank=True, help_text="As the sheets of what went in have them.")
    size_milli = models.PositiveBigIntegerField(
        null=True, blank=True, help_text="In thousandths of a ml. NULL: not said."
    )
    opened_on = models.DateField()
    opened_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    full_on = models.DateField(null=True, blank=True, help_text="NULL while it is being filled.")
    full_by = models.ForeignKey(User, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    collected_on = models.DateField(null=True, blank=True, help_text="NULL until it was collected.")
    collected_by = models.CharField(max_length=160, blank=True)
    manifest = models.CharField("manifest number", max_length=60, blank=True)
    recorded_by = models.ForeignKey(User, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    # Steps that were taken back are kept here too, a line each.
    note = models.TextField(blank=True)

    class Meta(Withdrawable.Meta):
        ordering = ("-number",)
        constraints = [
            *Withdrawable.Meta.constraints,
            models.UniqueConstraint(fields=["studio", "number"], name="waste_container_number_once"),
            models.CheckConstraint(condition=~Q(contents=""), name="waste_contents_named"),
            models.CheckConstraint(
                condition=Q(full_on=None) | Q(full_on__gte=F("opened_on")),
                name="waste_full_after_opened",
                violation_error_message="It cannot be full before it was opened: check both dates.",
            ),
            models.CheckConstraint(
                condition=Q(collected_on=None) | (~Q(full_on=None) & Q(collected_on__gte=F("full_on"))),
                name="waste_collected_after_full",
                violation_error_message="It cannot be collected before it was closed as full: check both dates.",
            ),
        ]

    def __str__(self) -> str:
        return f"waste container {self.number}"

    @property
    def contents_mark(self) -> str:
        """Of what is said to be in it; another mark means that somebody said more in between."""
        return mark((self.contents, *(str(item.pk) for item in self.went_in.order_by("pk"))))


class WentIn(models.Model):
    """Something of the shelf that went into a container, so that its tag can name the maker's sheet."""

    container = models.ForeignKey(WasteContainer, on_delete=models.CASCADE, related_name="+")
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="+")

    class Meta:
        # As a list that is taken back names what keeps a paint on it.
        verbose_name = "waste container"
        constraints = [models.UniqueConstraint(fields=["container", "item"], name="waste_item_once")]

    def __str__(self) -> str:
        return f"{self.item} in {self.container}"


class IncidentKind(models.TextChoices):
    INCIDENT = "incident", "Incident"
    NEAR_MISS = "near miss", "Near miss"


class Incident(models.Model):
    """What went wrong, or nearly. Keepers and whoever reported it may read it, nobody else."""

    studio = models.ForeignKey(Studio, on_delete=models.PROTECT, related_name="incidents")
    kind = models.CharField(max_length=10, choices=IncidentKind.choices)
    happened_at = models.DateTimeField(default=timezone.now)
    room = models.ForeignKey(Room, null=True, blank=True, on_delete=models.PROTECT, related_name="incidents")
    what = models.TextField(help_text="What happened, in your own words.")
    done = models.TextField(blank=True, help_text="What was done at once.")
    reported_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    reported_at = models.DateTimeField(auto_now_add=True)
    closed_at = models.DateTimeField(null=True, blank=True, help_text="NULL while something is still to be done.")
    closed_by = models.ForeignKey(User, null=True, blank=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("-happened_at", "-pk")
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=IncidentKind.values), name="incident_kind_known"),
            models.CheckConstraint(condition=~Q(what=""), name="incident_says_what"),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}, {self.happened_at:%Y-%m-%d}"


class IncidentNote(models.Model):
    """What was added to a report later; the report itself is not changed."""

    incident = models.ForeignKey(Incident, on_delete=models.PROTECT, related_name="notes")
    text = models.TextField()
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return self.text[:60]


class CalendarLink(models.Model):
    """An address that a calendar program asks without signing in; whoever has it sees what is due, no more."""

    studio = models.ForeignKey(Studio, on_delete=models.CASCADE, related_name="calendar_links")
    token = models.CharField(max_length=64, unique=True)
    by = models.ForeignKey(User, on_delete=models.CASCADE, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)
    ended_at = models.DateTimeField(null=True, blank=True, help_text="NULL while it answers.")

    class Meta:
        ordering = ("-pk",)

    def __str__(self) -> str:
        return f"calendar of {self.studio}"

    @staticmethod
    def kept_of(token: str) -> str:
        """What is kept of a token: whoever reads the database cannot ask for the calendar with it."""
        return sha256(token.encode()).hexdigest()


class ExportTemplate(models.Model):
    """The columns that an office wants: its own headers, in its own order, its own way to write a room."""

    studio = models.ForeignKey(Studio, on_delete=models.CASCADE, related_name="export_templates")
    name = models.CharField(max_length=80)
    subject = models.CharField(max_length=20, help_text="What its rows are.")
    columns = models.JSONField(default=list, help_text="Header and field, in order.")
    room_format = models.CharField(max_length=80, blank=True, help_text="Such as: Building 4 / {room} / {place}.")
    by = models.ForeignKey(User, null=True, on_delete=models.SET_NULL, related_name="+", help_text="NULL: has left.")
    made_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ("name",)
        constraints = [
            models.UniqueConstraint(
                fields=["studio", "name"],
                name="export_template_name_once",
                violation_error_message="This studio already has an export of this name.",
            )
        ]

    def __str__(self) -> str:
        return self.name

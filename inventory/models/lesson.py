"""Groups of people, palettes, and the lessons that they are set out for."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from inventory.models.paint import Binder, Item
from inventory.models.pigment import Pigment
from inventory.models.tube import Place, Room, Unit
from studio.models import Studio, User

MOST_STUDENTS = 400


class Group(models.Model):
    """People for whom house rules may differ, such as: children of 7 to 12, adults, staff only."""

    studio = models.ForeignKey(Studio, on_delete=models.PROTECT, related_name="groups")
    name = models.CharField(max_length=80)
    # Whether they are children decides what an unknown means: what is not known is kept from them.
    children = models.BooleanField("children", default=False)
    note = models.CharField(max_length=200, blank=True)
    removed_at = models.DateTimeField(null=True, blank=True, editable=False, help_text="NULL while it is used.")

    class Meta:
        ordering = ("name",)
        constraints = [
            models.UniqueConstraint(
                fields=["studio", "name"],
                name="group_name_once",
                violation_error_message="This studio already has a group of this name.",
            ),
            models.CheckConstraint(condition=~Q(name=""), name="group_named"),
        ]

    def __str__(self) -> str:
        return self.name


class Palette(models.Model):
    """Tubes that are set out together."""

    studio = models.ForeignKey(Studio, on_delete=models.PROTECT, related_name="palettes")
    name = models.CharField(max_length=120)
    binder = models.CharField(max_length=20, choices=Binder.choices)
    group = models.ForeignKey(Group, null=True, blank=True, on_delete=models.PROTECT, related_name="palettes")
    note = models.CharField(max_length=300, blank=True)
    # What it was designed under, so that it can be done again.
    asked = models.JSONField(default=dict, blank=True)
    by = models.ForeignKey(User, null=True, on_delete=models.SET_NULL, related_name="+", help_text="NULL: has left.")
    made_at = models.DateTimeField(auto_now_add=True)
    removed_at = models.DateTimeField(null=True, blank=True, editable=False, help_text="NULL while it is used.")

    class Meta:
        ordering = ("name", "pk")
        constraints = [
            models.UniqueConstraint(
                fields=["studio", "name"],
                condition=Q(removed_at=None),
                name="palette_name_once",
                violation_error_message="This studio already has a palette of this name.",
            ),
            models.CheckConstraint(condition=~Q(name=""), name="palette_named"),
        ]

    def __str__(self) -> str:
        return self.name


class PalettePaint(models.Model):
    """One paint of a palette: of the shelf, or a pigment that would have to be bought."""

    palette = models.ForeignKey(Palette, on_delete=models.CASCADE, related_name="paints")
    position = models.PositiveSmallIntegerField()
    item = models.ForeignKey(Item, null=True, blank=True, on_delete=models.PROTECT, related_name="palette_lines")
    pigment = models.ForeignKey(Pigment, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    role = models.CharField(max_length=60, blank=True, help_text="Such as: white, warm red, dark.")

    class Meta:
        ordering = ("position",)
        constraints = [
            models.UniqueConstraint(fields=["palette", "position"], name="palette_position_once"),
            models.CheckConstraint(
                condition=Q(item=None, pigment__isnull=False) | Q(item__isnull=False, pigment=None),
                name="palette_paint_is_one_thing",
            ),
        ]

    def __str__(self) -> str:
        return str(self.item or self.pigment)


class Term(models.Model):
    """A stretch of weeks with lessons in it."""

    studio = models.ForeignKey(Studio, on_delete=models.PROTECT, related_name="terms")
    name = models.CharField(max_length=80)
    starts_on = models.DateField()
    ends_on = models.DateField()

    class Meta:
        ordering = ("-starts_on",)
        constraints = [
            models.UniqueConstraint(
                fields=["studio", "name"],
                name="term_name_once",
                violation_error_message="This studio already has a term of this name.",
            ),
            models.CheckConstraint(
                condition=Q(ends_on__gte=F("starts_on")),
                name="term_ends_after_it_starts",
                violation_error_message="The term ends before it starts: check both dates.",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class LessonState(models.TextChoices):
    PLANNED = "planned", "Planned"
    HELD = "held", "Held"
    CANCELLED = "cancelled", "Called off"


class Lesson(models.Model):
    """A class: when, where, for whom, with what."""

    studio = models.ForeignKey(Studio, on_delete=models.PROTECT, related_name="lessons")
    title = models.CharField(max_length=120)
    # Lessons that repeat share this word.
    course = models.CharField(max_length=120, blank=True)
    term = models.ForeignKey(Term, null=True, blank=True, on_delete=models.PROTECT, related_name="lessons")
    starts_at = models.DateTimeField()
    minutes = models.PositiveSmallIntegerField(default=120, validators=[MinValueValidator(5), MaxValueValidator(1440)])
    room = models.ForeignKey(Room, null=True, blank=True, on_delete=models.PROTECT, related_name="lessons")
    # From where the tubes are taken. NULL: from anywhere.
    place = models.ForeignKey(Place, null=True, blank=True, on_delete=models.PROTECT, related_name="lessons")
    group = models.ForeignKey(Group, null=True, blank=True, on_delete=models.PROTECT, related_name="lessons")
    students = models.PositiveSmallIntegerField(
        validators=[
            MinValueValidator(1, "A lesson needs at least one student."),
            MaxValueValidator(
                MOST_STUDENTS, f"More than {MOST_STUDENTS} students: check the figure, or split the lesson."
            ),
        ]
    )
    teacher = models.ForeignKey(User, null=True, blank=True, on_delete=models.PROTECT, related_name="lessons")
    palette = models.ForeignKey(Palette, null=True, blank=True, on_delete=models.PROTECT, related_name="lessons")
    students_bring = models.BooleanField(default=False, help_text="Students bring their own; nothing is set out.")
    state = models.CharField(max_length=10, choices=LessonState.choices, default=LessonState.PLANNED)
    note = models.CharField(max_length=300, blank=True)
    by = models.ForeignKey(User, null=True, on_delete=models.SET_NULL, related_name="+", help_text="NULL: has left.")
    made_at = models.DateTimeField(auto_now_add=True)
    closed_at = models.DateTimeField(null=True, blank=True, help_text="NULL until it was held or called off.")

    class Meta:
        ordering = ("starts_at", "pk")
        indexes = [models.Index(fields=["studio", "starts_at"], name="lesson_by_time")]
        constraints = [
            models.CheckConstraint(condition=Q(state__in=LessonState.values), name="lesson_state_known"),
            models.CheckConstraint(
                condition=Q(students__gte=1, students__lte=MOST_STUDENTS),
                name="lesson_has_students",
                violation_error_message=f"Enter between 1 and {MOST_STUDENTS} students.",
            ),
            models.CheckConstraint(condition=~Q(title=""), name="lesson_titled"),
        ]

    def __str__(self) -> str:
        return self.title


class AmountBasis(models.TextChoices):
    HISTORY = "history", "From what this house used a head"
    RULE = "rule", "From a rule of area and coats"
    TYPED = "typed", "Typed"


class LessonPaint(models.Model):
    """How much of one paint each student is given, and what was used in the end."""

    lesson = models.ForeignKey(Lesson, on_delete=models.CASCADE, related_name="paints")
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="lesson_lines")
    a_head_milli = models.PositiveBigIntegerField()
    unit = models.CharField(max_length=2, choices=Unit.choices, default=Unit.ML)
    basis = models.CharField(max_length=8, choices=AmountBasis.choices, default=AmountBasis.TYPED)
    # The rule's own numbers, or the lessons that the history is of, so that it can be printed and changed.
    worked = models.JSONField(default=dict, blank=True)
    used_milli = models.PositiveBigIntegerField(null=True, blank=True, help_text="NULL until it was recorded.")

    class Meta:
        ordering = ("pk",)
        constraints = [
            models.UniqueConstraint(fields=["lesson", "item"], name="lesson_paint_once"),
            models.CheckConstraint(condition=Q(basis__in=AmountBasis.values), name="lesson_paint_basis_known"),
        ]

    def __str__(self) -> str:
        return f"{self.item} for {self.lesson}"


class AmountRule(models.Model):
    """How much paint covers how much ground, as this house reckons: printed with every amount that it gives."""

    studio = models.ForeignKey(Studio, on_delete=models.CASCADE, related_name="amount_rules")
    name = models.CharField(max_length=80)
    binder = models.CharField(max_length=20, choices=Binder.choices, blank=True)
    milli_per_m2 = models.PositiveBigIntegerField(help_text="Thousandths of a ml for a square metre and one coat.")
    source = models.CharField(max_length=200, help_text="On whose word.")
    set_by = models.ForeignKey(User, null=True, on_delete=models.SET_NULL, related_name="+")
    set_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ("name",)
        constraints = [
            models.UniqueConstraint(
                fields=["studio", "name"],
                name="amount_rule_name_once",
                violation_error_message="This studio already has a rule of this name.",
            ),
            models.CheckConstraint(condition=Q(milli_per_m2__gt=0), name="amount_rule_above_zero"),
        ]

    def __str__(self) -> str:
        return self.name


class BroughtTube(models.Model):
    """What a student brought, as they read its label out."""

    lesson = models.ForeignKey(Lesson, on_delete=models.CASCADE, related_name="brought")
    who = models.CharField(max_length=80, blank=True)
    text = models.CharField(max_length=300, help_text="Name and codes, as typed.")
    by = models.ForeignKey(User, null=True, on_delete=models.SET_NULL, related_name="+", help_text="NULL: has left.")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return self.text

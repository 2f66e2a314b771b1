"""What a studio keeps: paints and materials, which share stock, supply and safety through one parent."""

from typing import Any, Self, TypeVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import Exists, OuterRef, Q

from inventory.labels.folding import search_key
from inventory.labels.lasting import Rated, weakest_pigment
from inventory.models.pigment import OpticalRow, Pigment
from studio.models import Studio, User


class ItemKind(models.TextChoices):
    PAINT = "paint", "Paint"
    MATERIAL = "material", "Material"


AnyItem = TypeVar("AnyItem", bound="Item")


class ItemQuerySet(models.QuerySet[AnyItem]):
    def of(self, studio: Studio) -> Self:
        return self.filter(studio=studio)

    def kept(self) -> Self:
        return self.filter(archived_at=None)


class SortKey(models.CharField):
    """A text in the order of its code points on both databases, whatever language PostgreSQL was set up with."""

    def db_parameters(self, connection: BaseDatabaseWrapper) -> dict[str, Any]:
        parameters: dict[str, Any] = dict(super().db_parameters(connection))
        if connection.vendor == "postgresql":
            parameters["collation"] = "C"
        return parameters


class Form(models.TextChoices):
    """As what it is sold: the same pigment in another form is another exposure."""

    AS_USUAL = "", "As usual for its kind"
    PASTE = "paste", "Paste in a tube or jar"
    LIQUID = "liquid", "Liquid"
    POWDER = "powder", "Dry powder"
    STICK = "stick", "Pastel, crayon or stick"
    PAN = "pan", "Pan or cake"
    SPRAY = "spray", "Spray can"
    MARKER = "marker", "Marker"


class Item(models.Model):
    """The parent of Paint and Material."""

    studio = models.ForeignKey(Studio, on_delete=models.PROTECT, related_name="items")
    kind = models.CharField(max_length=10, choices=ItemKind.choices, editable=False)
    name = models.CharField(max_length=160, help_text="As the label has it.")
    # The name without case and accents: lists are in its order.
    sort_name = SortKey(max_length=160, blank=True, editable=False)
    search = models.CharField(max_length=600, blank=True, editable=False)
    maker = models.CharField(max_length=80, blank=True)
    maker_code = models.CharField("maker's code", max_length=60, blank=True)
    # Mass per volume in thousandths of g/ml, so that weighing stays exact. NULL: nobody entered one.
    density_milli = models.PositiveIntegerField(
        "density (thousandths of g/ml)",
        null=True,
        blank=True,
        validators=[
            MinValueValidator(500, "A paint or medium is not lighter than 0.5 g/ml: check the figure."),
            MaxValueValidator(8000, "A paint is not heavier than 8 g/ml: check the figure."),
        ],
    )
    density_is_estimate = models.BooleanField(default=False)
    form = models.CharField(max_length=8, choices=Form.choices, blank=True, default="")
    notes = models.TextField(blank=True)
    # Every cell of the row that it was typed in, by its column's heading.
    typed = models.JSONField(default=dict, blank=True, editable=False)
    created_at = models.DateTimeField(auto_now_add=True)
    archived_at = models.DateTimeField(null=True, blank=True, help_text="NULL while it is kept.")

    objects = ItemQuerySet.as_manager()

    class Meta:
        ordering = ("sort_name", "pk")
        indexes = [models.Index(fields=["studio", "sort_name", "id"], name="item_by_sort_name")]
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=ItemKind.values), name="item_kind_known"),
            models.CheckConstraint(condition=Q(form__in=Form.values), name="item_form_known"),
            models.CheckConstraint(condition=~Q(name=""), name="item_named"),
        ]

    def __str__(self) -> str:
        return self.name

    def save(self, *args: object, **kwargs: object) -> None:
        self.fold_words()
        super().save(*args, **kwargs)  # type: ignore[arg-type]  # passed on as they came

    def fold_words(self) -> None:
        """Set what lists are ordered and searched by."""
        self.sort_name = search_key(self.name)[:160]
        self.search = search_key(" ".join(self.words_to_find()))[:600]

    def words_to_find(self) -> list[str]:
        return [self.name, self.maker, self.maker_code]

    @property
    def density_words(self) -> str:
        """The density with its unit, and whether it is an estimate; empty while nobody entered one."""
        if self.density_milli is None:
            return ""
        return f"{'about ' if self.density_is_estimate else ''}{self.density_milli / 1000:g} g/ml"


class Binder(models.TextChoices):
    OIL = "oil", "Oil"
    WATER_MIXABLE_OIL = "water-mixable oil", "Water-mixable oil"
    ALKYD = "alkyd", "Alkyd"
    ACRYLIC = "acrylic", "Acrylic"
    WATERCOLOUR = "watercolour", "Watercolour"
    GOUACHE = "gouache", "Gouache"
    TEMPERA = "tempera", "Tempera"
    CASEIN = "casein", "Casein"
    ENCAUSTIC = "encaustic", "Encaustic"
    UNKNOWN = "unknown", "Not known"


class Opacity(models.TextChoices):
    TRANSPARENT = "transparent", "Transparent"
    SEMI_TRANSPARENT = "semi-transparent", "Semi-transparent"
    SEMI_OPAQUE = "semi-opaque", "Semi-opaque"
    OPAQUE = "opaque", "Opaque"
    UNKNOWN = "unknown", "Not known"


class LightfastnessScale(models.TextChoices):
    ASTM = "astm", "ASTM"
    BLUE_WOOL = "blue-wool", "Blue wool"
    MAKER = "maker", "Maker's own"
    UNKNOWN = "unknown", "Not known"


class PigmentsKnown(models.TextChoices):
    SETTLED = "settled", "Read"
    ASKED = "asked", "A question is open"
    UNKNOWN = "unknown", "Not known"


class PaintQuerySet(ItemQuerySet["Paint"]):
    def with_open_questions(self) -> Self:
        open_readings = Reading.objects.filter(paint=OuterRef("pk"), settled=False)
        return self.annotate(has_open_question=Exists(open_readings))


class Paint(Item):
    """What the label says. Marks keep the text that was typed and the scale they are on; scales are never merged."""

    binder = models.CharField(max_length=20, choices=Binder.choices, default=Binder.UNKNOWN)
    pigment_text = models.TextField("pigments", blank=True, help_text="As the label has them, in its order.")
    pigments_known = models.CharField(max_length=10, choices=PigmentsKnown.choices, default=PigmentsKnown.UNKNOWN)
    pigments: "models.ManyToManyField[Pigment, PaintPigment]" = models.ManyToManyField(
        Pigment, through="PaintPigment", related_name="paints"
    )
    opacity = models.CharField(max_length=20, choices=Opacity.choices, default=Opacity.UNKNOWN)
    opacity_text = models.TextField(blank=True)
    strength = models.CharField("tinting strength", max_length=40, blank=True)
    strength_scale = models.CharField(max_length=60, blank=True)
    strength_text = models.TextField(blank=True)
    lightfastness = models.CharField(max_length=40, blank=True)
    lightfastness_scale = models.CharField(
        max_length=12, choices=LightfastnessScale.choices, default=LightfastnessScale.UNKNOWN
    )
    lightfastness_maker_scale = models.CharField(max_length=60, blank=True, help_text="Such as: of 4 stars.")
    lightfastness_text = models.TextField(blank=True)
    # Colours to draw it with, worked out from its curve: hex values and where they come from. NULL: colour not known.
    swatch = models.JSONField(null=True, blank=True, editable=False)
    series = models.CharField(max_length=20, blank=True, help_text="The maker's price group; never a price.")

    objects = PaintQuerySet.as_manager()  # type: ignore[misc]  # the same, with more words

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(binder__in=Binder.values), name="paint_binder_known"),
            models.CheckConstraint(condition=Q(opacity__in=Opacity.values), name="paint_opacity_known"),
            models.CheckConstraint(
                condition=Q(lightfastness_scale__in=LightfastnessScale.values), name="paint_lightfastness_scale_known"
            ),
            models.CheckConstraint(condition=Q(pigments_known__in=PigmentsKnown.values), name="paint_pigments_state"),
        ]

    def save(self, *args: object, **kwargs: object) -> None:
        self.kind = ItemKind.PAINT
        super().save(*args, **kwargs)

    def clean(self) -> None:
        super().clean()
        self.kind = ItemKind.PAINT

    def words_to_find(self) -> list[str]:
        """The codes too: one that a person chose need not be in the typed text."""
        codes = self.pigment_lines.values_list("code", flat=True) if self.pk else []
        return [*super().words_to_find(), *codes, self.pigment_text]

    @property
    def weakest_words(self) -> str:
        """The pigment that rules how it lasts, where that says more than the label; needs pigment lines at hand."""
        rated = [
            Rated(line.code, line.pigment.lightfastness_in(self.binder) if line.pigment else "")
            for line in self.pigment_lines.all()
        ]
        found = weakest_pigment(rated, value=self.lightfastness, scale=self.lightfastness_scale)
        return f"ASTM {found.words}" if found else ""


class PaintPigment(models.Model):
    """One pigment of a paint, in the label's order, as read from what was typed or chosen by a person."""

    paint = models.ForeignKey(Paint, on_delete=models.CASCADE, related_name="pigment_lines")
    position = models.PositiveSmallIntegerField()
    code = models.CharField(max_length=16, help_text="Colour Index generic name.")
    # NULL: the reference table does not have the code; a person said that the tube does.
    pigment = models.ForeignKey(Pigment, null=True, blank=True, on_delete=models.PROTECT, related_name="paint_lines")
    # Which of the colours sold under one code (raw or burnt umber). NULL: the code has one colour, or nobody said.
    shade = models.ForeignKey(OpticalRow, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    as_typed = models.CharField(max_length=160, blank=True)
    note = models.CharField(max_length=160, blank=True)

    class Meta:
        ordering = ("position",)
        constraints = [models.UniqueConstraint(fields=["paint", "position"], name="paint_pigment_position_once")]

    def __str__(self) -> str:
        return self.code

    @property
    def lightfastness(self) -> str:
        """What is common for the pigment in this paint's binder, on the ASTM scale; "" where it has no rating here."""
        return self.pigment.lightfastness_in(self.paint.binder) if self.pigment else ""


class ReadingField(models.TextChoices):
    PIGMENTS = "pigments", "Pigments"
    SHADE = "shade", "Shade"
    LIGHTFASTNESS = "lightfastness", "Lightfastness"
    OPACITY = "opacity", "Opacity"
    STRENGTH = "strength", "Tinting strength"


class Reading(models.Model):
    """What the label reader made of one typed text: kept beside it, with its doubts and what the person chose."""

    paint = models.ForeignKey(Paint, on_delete=models.CASCADE, related_name="readings")
    field = models.CharField(max_length=16, choices=ReadingField.choices)
    text = models.TextField(blank=True, help_text="Exactly as typed.")
    read = models.JSONField(default=dict)
    doubts = models.JSONField(default=list, help_text="Each with code, message, value and options.")
    chosen = models.JSONField(default=dict, help_text="What the person answered, by the doubt's key.")
    settled = models.BooleanField(help_text="False while a question is open.")
    by = models.ForeignKey(User, null=True, on_delete=models.SET_NULL, related_name="+", help_text="NULL: has left.")
    at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ("field",)
        constraints = [
            models.UniqueConstraint(fields=["paint", "field"], name="reading_once_a_field"),
            models.CheckConstraint(condition=Q(field__in=ReadingField.values), name="reading_field_known"),
        ]
        indexes = [models.Index(fields=["paint"], condition=Q(settled=False), name="reading_open")]

    def __str__(self) -> str:
        return f"{self.get_field_display()}: {self.text}"


class MaterialKind(models.TextChoices):
    MEDIUM = "medium", "Medium"
    SOLVENT = "solvent", "Solvent"
    VARNISH = "varnish", "Varnish"
    DRIER = "drier", "Drier"
    GROUND = "ground", "Ground"
    DRYING_OIL = "drying oil", "Drying oil"
    DRY_PIGMENT = "dry pigment", "Dry pigment"
    OTHER = "other", "Other"


class Material(Item):
    """Mediums, solvents, varnishes, grounds, dry pigments: no colour of their own, but a stock and hazards."""

    material_kind = models.CharField("kind of material", max_length=16, choices=MaterialKind.choices)
    cas = models.CharField("CAS numbers", max_length=120, blank=True, help_text="From the maker's sheet; ';' between.")

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(material_kind__in=MaterialKind.values), name="material_kind_known")
        ]

    def save(self, *args: object, **kwargs: object) -> None:
        self.kind = ItemKind.MATERIAL
        super().save(*args, **kwargs)

    def clean(self) -> None:
        super().clean()
        self.kind = ItemKind.MATERIAL

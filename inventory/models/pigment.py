"""Reference rows: what is published or commonly held about a pigment, the same for every studio."""

from django.db import models
from django.db.models import Q

from inventory.labels.lasting import mark_in


class Confidence(models.TextChoices):
    PUBLISHED = "published", "Published"
    COMMON_PRACTICE = "common practice", "Common practice, no source"
    FROM_MEMORY = "from memory", "From memory"


class Pigment(models.Model):
    """A Colour Index generic name, such as PB29, with what is typical of it. Blank means not established here."""

    ci_name = models.CharField(max_length=12, unique=True)
    ci_full = models.CharField(max_length=60)
    ci_number = models.CharField(max_length=60, blank=True, help_text="Constitution numbers, separated by ';'.")
    cas = models.CharField(max_length=120, blank=True, help_text="CAS numbers, separated by ';'.")
    chemical_class = models.CharField(max_length=80, blank=True)
    chemical_description = models.CharField(max_length=300, blank=True)
    common_names = models.CharField(max_length=400, blank=True, help_text="Trade names, separated by ';'.")
    hue_family = models.CharField(max_length=12)
    metals = models.CharField(max_length=40, blank=True, help_text="Element symbols; chromium as Cr3 or Cr6.")
    lightfastness_astm = models.CharField(max_length=4, blank=True)
    lightfastness_by_binder = models.CharField(
        max_length=80, blank=True, help_text="Where binders differ: binder:mark, separated by ';'."
    )
    opacity_typical = models.CharField(max_length=20, blank=True)
    tint_strength_typical = models.CharField(max_length=20, blank=True)
    density_g_cm3 = models.FloatField(null=True, blank=True, help_text="NULL: not established here.")
    source = models.CharField(max_length=120)
    confidence = models.CharField(max_length=20, choices=Confidence.choices)
    notes = models.TextField(blank=True)

    class Meta:
        ordering = ("pk",)
        constraints = [
            models.CheckConstraint(condition=Q(confidence__in=Confidence.values), name="pigment_confidence_known")
        ]

    def __str__(self) -> str:
        return self.ci_name

    @property
    def names(self) -> list[str]:
        return [name.strip() for name in self.common_names.split(";") if name.strip()]

    def lightfastness_in(self, binder: str) -> str:
        """The ASTM mark in this binder; where none is given for it, the lowest of all."""
        return mark_in(binder, self.lightfastness_astm, self.lightfastness_by_binder)

    @property
    def metal_list(self) -> list[str]:
        return [metal for metal in self.metals.split(";") if metal]


class OpticalRow(models.Model):
    """Absorption and scattering of one shade of a pigment as a handful of numbers (units in fixtures/README.md)."""

    pigment = models.ForeignKey(Pigment, on_delete=models.PROTECT, related_name="optical_rows")
    name = models.CharField(max_length=80)
    family = models.CharField(max_length=40)
    scattering = models.CharField(max_length=20, blank=True)
    K0 = models.FloatField()
    floor = models.FloatField()
    edges = models.CharField(max_length=120, blank=True)
    bands = models.CharField(max_length=160, blank=True)
    Km = models.FloatField()
    S0 = models.FloatField()
    Sn = models.FloatField()
    source = models.CharField(max_length=120)
    confidence = models.CharField(max_length=20, choices=Confidence.choices)

    class Meta:
        ordering = ("pk",)
        constraints = [
            models.UniqueConstraint(fields=["pigment", "name"], name="optical_row_once"),
            models.CheckConstraint(condition=Q(K0__gt=0) & Q(S0__gt=0), name="optical_row_positive"),
        ]

    def __str__(self) -> str:
        return self.name

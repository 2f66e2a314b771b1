"""Reference rows: what is published about substances, the same for every studio. Blank means not established here."""

from django.db import models
from django.db.models import Q

from inventory.models import Confidence


class HazardFact(models.Model):
    """What one regime says about one substance. No H code means that none was published there, never "no hazard"."""

    key = models.CharField(max_length=100, unique=True)
    substance = models.CharField(max_length=200)
    cas = models.CharField(max_length=200, blank=True, help_text="CAS numbers, separated by ';'.")
    ci_names = models.CharField(max_length=300, blank=True, help_text="Pigments it reaches, separated by ';'.")
    regime = models.CharField(max_length=40)
    classification = models.TextField(blank=True)
    h_codes = models.CharField(max_length=200, blank=True, help_text="Separated by ';'.")
    index_no = models.CharField("index number", max_length=20, blank=True)
    signal_word = models.CharField(max_length=10, blank=True)
    pictograms = models.CharField(max_length=60, blank=True, help_text="Separated by ';'.")
    notes = models.TextField(blank=True)
    concentration_limits = models.TextField(blank=True)
    source = models.CharField(max_length=120)
    confidence = models.CharField(max_length=20, choices=Confidence.choices)

    class Meta:
        ordering = ("pk",)
        constraints = [
            models.CheckConstraint(condition=Q(confidence__in=Confidence.values), name="hazard_fact_confidence_known"),
            models.CheckConstraint(
                condition=Q(signal_word__in=["", "Danger", "Warning"]), name="hazard_fact_signal_word_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.substance}, {self.regime}"


class Limit(models.Model):
    """One figure or rule that a notice or a page may cite; a rule without a number has a blank figure."""

    key = models.CharField(max_length=120, unique=True)
    topic = models.CharField(max_length=160)
    figure = models.CharField(max_length=20, blank=True)
    unit = models.CharField(max_length=60, blank=True)
    basis = models.CharField(max_length=200, blank=True)
    jurisdiction = models.CharField(max_length=40, blank=True)
    citation = models.CharField(max_length=160, blank=True)
    source = models.CharField(max_length=120)
    confidence = models.CharField(max_length=20, choices=Confidence.choices)
    notes = models.TextField(blank=True)

    class Meta:
        ordering = ("pk",)
        constraints = [
            models.CheckConstraint(condition=Q(confidence__in=Confidence.values), name="limit_confidence_known")
        ]

    def __str__(self) -> str:
        return self.topic


class StatementKind(models.TextChoices):
    H = "H", "Hazard statement"
    EUH = "EUH", "Supplemental hazard information (EU)"
    P = "P", "Precautionary statement"


class Statement(models.Model):
    """One H, EUH or P phrase in the standard's words, for one hazard category."""

    code = models.CharField(max_length=30)
    kind = models.CharField(max_length=3, choices=StatementKind.choices)
    phrase = models.TextField()
    phrase_plain = models.TextField()
    hazard_class = models.CharField(max_length=100, blank=True)
    category = models.CharField(max_length=60, blank=True)
    pictogram = models.CharField(max_length=40, blank=True)
    signal_word = models.CharField(max_length=10, blank=True)
    p_codes = models.CharField(max_length=200, blank=True, help_text="Separated by ';'.")
    scope = models.CharField(max_length=60, blank=True)
    citation = models.CharField(max_length=120, blank=True)
    source = models.CharField(max_length=60)
    confidence = models.CharField(max_length=20, choices=Confidence.choices)
    notes = models.TextField(blank=True)

    class Meta:
        ordering = ("pk",)
        constraints = [
            models.UniqueConstraint(fields=["code", "hazard_class", "category"], name="statement_once"),
            models.CheckConstraint(condition=Q(kind__in=StatementKind.values), name="statement_kind_known"),
            models.CheckConstraint(condition=Q(confidence__in=Confidence.values), name="statement_confidence_known"),
        ]

    def __str__(self) -> str:
        return self.code

"""What was measured of a paint's colour, and the curves that follow from it."""

from typing import Self

import numpy as np
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from numpy.typing import NDArray

from inventory.colour.curves import Curve, Origin
from inventory.colour.viewing import Viewing
from inventory.models.paint import Paint
from studio.models import Studio, User

BANDS = 31
# How numbers lie in the database: the same bytes on every machine.
STORED = np.dtype("<f8")


class Swatch(models.TextChoices):
    """What was painted and measured. A tint is so many parts of paint to so many of white."""

    MASSTONE = "masstone", "Masstone"
    TINT_1_9 = "tint-1-9", "Tint 1:9"
    TINT_1_1 = "tint-1-1", "Tint 1:1"
    OVER_BLACK = "over-black", "Drawdown over black"
    OVER_WHITE = "over-white", "Drawdown over white"

    @property
    def parts(self) -> tuple[float, float]:
        """Parts of paint and of white."""
        return {"tint-1-9": (1.0, 9.0), "tint-1-1": (1.0, 1.0)}.get(self.value, (1.0, 0.0))

    @property
    def is_tint(self) -> bool:
        return self.parts[1] > 0.0

    @property
    def is_film(self) -> bool:
        return self in (Swatch.OVER_BLACK, Swatch.OVER_WHITE)


class Way(models.TextChoices):
    """How the colour came here."""

    TYPED = "typed", "Typed"
    SPECTRUM = "spectrum", "Spectrum file"
    PHOTO = "photo", "Card photo"


class SpecularMode(models.TextChoices):
    INCLUDED = "included", "Included"
    EXCLUDED = "excluded", "Excluded"
    UNKNOWN = "unknown", "Not known"


class MeasurementQuerySet(models.QuerySet["Measurement"]):
    def of(self, studio: Studio) -> Self:
        return self.filter(paint__studio=studio)

    def standing(self) -> Self:
        return self.filter(withdrawn_at=None)


class Measurement(models.Model):
    """One colour of one swatch, as it was given. What turns out wrong is withdrawn, never deleted."""

    paint = models.ForeignKey(Paint, on_delete=models.PROTECT, related_name="measurements")
    kind = models.CharField("swatch", max_length=12, choices=Swatch.choices)
    way = models.CharField(max_length=10, choices=Way.choices, default=Way.TYPED)
    text = models.CharField(max_length=300, help_text="As typed; of a file its name and that of the sample.")
    notation = models.CharField(max_length=20, blank=True)
    illuminant = models.CharField(max_length=60, default="unknown", help_text="As stated.")
    observer = models.CharField(max_length=10, default="unknown")
    # CIELAB for D65 and the 10 degree observer, whatever was stated.
    lightness = models.FloatField("L*", validators=[MinValueValidator(0.0), MaxValueValidator(100.0)])
    a = models.FloatField("a*")
    b = models.FloatField("b*")
    converted = models.CharField(max_length=300, blank=True, help_text="How it came to D65 and 10 degrees.")
    # The same as it was stated, under its own light and observer, to which curves are fitted. NULL: as converted.
    stated = models.JSONField(null=True, blank=True)
    stated_sd = models.FloatField(null=True, blank=True)
    viewing = models.CharField(max_length=8, choices=[(one.value, one.value) for one in Viewing], blank=True)
    # Reflectance at 400 to 700 nm by 10, as fractions. NULL: only the colour is known.
    spectrum = models.JSONField(null=True, blank=True)
    specular = models.CharField(max_length=10, choices=SpecularMode.choices, default=SpecularMode.UNKNOWN)
    geometry = models.CharField(max_length=60, default="unknown")
    backing = models.CharField(max_length=60, default="unknown")
    # In units in which titanium white scatters 1. NULL: not a film, or nobody knows.
    thickness = models.FloatField("film thickness", null=True, blank=True)
    # Of the wet film, and both as typed. NULL: not given.
    film_um = models.FloatField("film thickness in µm", null=True, blank=True)
    film_typed = models.CharField("film thickness as typed", max_length=20, blank=True)
    film_white = models.CharField("L* of the white in the same film, as typed", max_length=20, blank=True)
    scaled = models.BooleanField(default=False, help_text="Its thickness follows from µm by the studio's own scale.")
    # The white of a tint. NULL: a typical titanium white is assumed.
    white = models.ForeignKey(
        Paint, null=True, blank=True, on_delete=models.PROTECT, related_name="tinted_measurements"
    )
    rough = models.BooleanField(default=False)
    sd = models.FloatField(
        "standard deviation", help_text="Of L*, a* and b* as an observation.", validators=[MinValueValidator(0.01)]
    )
    remarks = models.JSONField(default=list, blank=True, help_text="What the reader noted, in words.")
    confirmed = models.JSONField(default=list, blank=True, help_text="Questions that the person has answered.")
    note = models.CharField(max_length=300, blank=True)
    by = models.ForeignKey(User, null=True, on_delete=models.SET_NULL, related_name="+", help_text="NULL: has left.")
    at = models.DateTimeField(auto_now_add=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True, help_text="NULL while it stands.")
    withdrawn_by = models.ForeignKey(User, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")

    objects = MeasurementQuerySet.as_manager()

    class Meta:
        ordering = ("pk",)
        indexes = [models.Index(fields=["paint"], condition=Q(withdrawn_at=None), name="measurement_standing")]
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=Swatch.values), name="measurement_kind_known"),
            models.CheckConstraint(condition=Q(way__in=Way.values), name="measurement_way_known"),
            models.CheckConstraint(condition=Q(specular__in=SpecularMode.values), name="measurement_specular_known"),
            models.CheckConstraint(
                condition=Q(lightness__gte=0.0, lightness__lte=100.0), name="measurement_lightness_0_to_100"
            ),
            models.CheckConstraint(
                condition=Q(a__gte=-200.0, a__lte=200.0, b__gte=-200.0, b__lte=200.0),
                name="measurement_axes_within_200",
            ),
            models.CheckConstraint(condition=Q(sd__gt=0.0), name="measurement_sd_above_0"),
            models.CheckConstraint(
                condition=Q(stated=None) | (Q(stated_sd__gt=0.0) & ~Q(viewing="")), name="measurement_stated_is_whole"
            ),
            models.CheckConstraint(
                condition=Q(thickness=None) | Q(thickness__gt=0.0), name="measurement_thickness_above_0"
            ),
            models.CheckConstraint(
                condition=Q(film_um=None) | Q(film_um__gt=0.0, kind__in=["over-black", "over-white"]),
                name="measurement_film_of_a_drawdown",
            ),
            models.CheckConstraint(
                condition=Q(white=None) | Q(kind__in=["tint-1-9", "tint-1-1"]),
                name="measurement_white_of_a_tint",
                violation_error_message="Only a tint has a white in it.",
            ),
            models.CheckConstraint(
                condition=Q(white=None) | ~Q(white=F("paint")),
                name="measurement_white_is_another_paint",
                violation_error_message="A paint cannot be its own white: choose the white that was mixed in.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} of {self.paint}: {self.text}"

    @property
    def swatch(self) -> Swatch:
        return Swatch(self.kind)

    @property
    def lab(self) -> tuple[float, float, float]:
        """L*, a*, b* for D65 and the 10 degree observer."""
        return self.lightness, self.a, self.b


class CurveState(models.TextChoices):
    READY = "ready", "Ready"
    WORKING = "working", "Being worked out"
    FAILED = "failed", "Not worked out"


class PaintCurve(models.Model):
    """The curves of one paint, worked out from its measurements; kept until what they rest on changes."""

    paint = models.OneToOneField(Paint, on_delete=models.CASCADE, related_name="colour_curve")
    state = models.CharField(max_length=8, choices=CurveState.choices, default=CurveState.WORKING)
    message = models.CharField(max_length=600, blank=True, help_text="Why it was not worked out.")
    # K, then S, at 400 to 700 nm by 10, 64 bit. NULL: none was worked out yet.
    curve = models.BinaryField(null=True, blank=True)
    # As many K, then as many S: curves that the measurements allow, equally likely.
    draws = models.BinaryField(null=True, blank=True)
    origin = models.CharField(max_length=10, choices=[(origin.value, origin.value) for origin in Origin], blank=True)
    basis = models.CharField(max_length=40, blank=True)
    version = models.CharField(max_length=20, blank=True)
    fingerprint = models.CharField(max_length=64, blank=True)
    rests_on = models.CharField(max_length=1000, blank=True)
    candidates = models.JSONField(default=list, blank=True, help_text="Pigments that it may be, with their weights.")
    tints_allowed = models.BooleanField(default=False)
    # CIEDE2000. NULL: none was worked out yet.
    worst_fit = models.FloatField(null=True, blank=True)
    computed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(state__in=CurveState.values), name="paint_curve_state_known"),
            models.CheckConstraint(
                condition=~Q(state="ready") | (~Q(curve=None) & ~Q(computed_at=None)), name="paint_curve_ready_is_there"
            ),
            models.CheckConstraint(condition=~Q(state="failed") | ~Q(message=""), name="paint_curve_failed_says_why"),
            models.CheckConstraint(
                condition=Q(curve=None) | Q(origin__in=["measured", "recovered"]), name="paint_curve_origin_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.paint}: {self.get_state_display().lower()}"

    def as_curve(self) -> Curve | None:
        """The curve as the colour engine takes it; None while there is none."""
        if self.curve is None:
            return None
        k, s = unpacked(self.curve).reshape(2, BANDS)
        return Curve(k, s, Origin(self.origin), self.rests_on)

    def drawn(self) -> tuple[NDArray[np.float64], NDArray[np.float64]] | None:
        """The draws as K and S, each (d, 31); None while there are none."""
        if self.draws is None:
            return None
        k, s = unpacked(self.draws).reshape(2, -1, BANDS)
        return k, s


def packed(*arrays: NDArray[np.float64]) -> bytes:
    """The arrays behind one another as the database keeps them."""
    return b"".join(np.ascontiguousarray(array, dtype=STORED).tobytes() for array in arrays)


def unpacked(stored: bytes | memoryview) -> NDArray[np.float64]:
    """The numbers that `packed` wrote; SQLite gives bytes, PostgreSQL a memoryview."""
    return np.frombuffer(bytes(stored), dtype=STORED).astype(np.float64)

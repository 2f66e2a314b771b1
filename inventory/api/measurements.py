"""Colours of paints: what was measured, taken in and withdrawn, and the curves worked out from it."""

from typing import Any, ClassVar

from django.core.exceptions import ValidationError
from drf_spectacular.utils import OpenApiExample, extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.api import filters
from inventory.api.references import ItemNameSerializer, RowField
from inventory.colour.appearance import WAVELENGTHS_NM
from inventory.colour.curves import Origin
from inventory.colour.samples import MAY_STAND
from inventory.measuring.colours import LONGEST, Notation
from inventory.measuring.viewing import Illuminant, Observer
from inventory.models import CurveState, Measurement, Paint, SpecularMode, Swatch, Way
from inventory.queries import colours as queries
from inventory.services import colours as services
from inventory.services.colours import Beside
from studio.api.inputs import Choice, Flag, Input, Text
from studio.api.views import StudioList, StudioView
from studio.models import Role, Studio

TAG = "colours of paints"
LONGEST_SPECTRUM = 200_000


class MeasurementSerializer(serializers.ModelSerializer[Measurement]):
    """One colour of one swatch, as it was given. A withdrawn one keeps its row."""

    paint = ItemNameSerializer()
    kind = serializers.ChoiceField(choices=Swatch.choices)
    way = serializers.ChoiceField(choices=Way.choices)
    specular = serializers.ChoiceField(choices=SpecularMode.choices)
    lab = serializers.SerializerMethodField(help_text="L*, a*, b* for D65 and the 10 degree observer.")
    spectrum = serializers.SerializerMethodField(
        help_text="Reflectance at 400 to 700 nm by 10; null: only the colour is known."
    )
    white = ItemNameSerializer(allow_null=True, help_text="The white of a tint; null: none, or a typical one.")
    remarks = serializers.ListField(child=serializers.CharField())
    by = serializers.CharField(allow_null=True, help_text="null: has left.")

    class Meta:
        model = Measurement
        fields = (
            "id",
            "paint",
            "kind",
            "way",
            "text",
            "notation",
            "illuminant",
            "observer",
            "lab",
            "converted",
            "spectrum",
            "specular",
            "geometry",
            "backing",
            "thickness",
            "film_um",
            "film_typed",
            "film_white",
            "scaled",
            "white",
            "rough",
            "sd",
            "remarks",
            "note",
            "by",
            "at",
            "withdrawn_at",
        )
        read_only_fields = fields

    @extend_schema_field(serializers.ListField(child=serializers.FloatField()))
    def get_lab(self, one: Measurement) -> list[float]:
        return list(one.lab)

    @extend_schema_field(serializers.ListField(child=serializers.FloatField(), allow_null=True))
    def get_spectrum(self, one: Measurement) -> Any:
        return one.spectrum


@extend_schema_field({"type": "integer"})
class PaintField(RowField):
    what = "paint"

    def rows(self, studio: Studio) -> Any:
        return Paint.objects.of(studio)


class MeasurementInput(Input):
    """A colour as `text`, or the content of a spectrum file as `spectrum`: one of them."""

    kind = Choice(choices=Swatch.choices)
    text = Text(max_length=LONGEST, required=False, help_text="Such as 32.1, 14.2, -41.7 or 7.5PB 3/10 or #2a3f8c.")
    notation = Choice(choices=[(one.value, one.value) for one in Notation], required=False)
    illuminant = Choice(
        choices=[(one.value, one.value) for one in Illuminant],
        required=False,
        help_text="Of L*, a*, b*; asked where it is left out.",
    )
    observer = Choice(choices=[(one.value, one.value) for one in Observer], required=False)
    spectrum = Text(
        max_length=LONGEST_SPECTRUM, required=False, trim_whitespace=False, help_text="CSV, CGATS.17 text or CxF3."
    )
    file_name = Text(max_length=120, required=False, help_text="Kept with the spectrum.")
    sample = Text(max_length=120, required=False, help_text="Its name, where the file has several.")
    specular = Choice(choices=SpecularMode.choices, required=False, help_text="Where the file does not say.")
    geometry = Text(max_length=60, required=False, help_text="Such as 45:0 or d:8.")
    backing = Text(max_length=60, required=False, help_text="Such as hidden, white or black.")
    light = Text(max_length=60, required=False, help_text="The light of the instrument, such as A or D50.")
    scale = Choice(choices=[("percent", "percent"), ("fraction", "fraction")], required=False)
    white = PaintField(required=False, help_text="The id of the paint that a tint was mixed with.")
    film_white = Text(max_length=20, required=False, help_text="L* of titanium white in the same film over black.")
    film_um = Text(max_length=20, required=False, help_text="Wet film of a drawdown in micrometres, such as 75.")
    note = Text(max_length=300, required=False, allow_blank=True)
    confirmed = Flag(required=False, help_text="It is right as it stands, though it was asked.")
    exchange = Flag(required=False, help_text="Masstone and tint were exchanged: keep each as the other.")

    def validate(self, given: dict[str, Any]) -> dict[str, Any]:
        if ("text" in given) == ("spectrum" in given):
            raise serializers.ValidationError("Send the colour as text or as a spectrum: one of them.")
        return given


class PaintMeasurements(StudioView):
    """What was measured of one paint, and the way to give more."""

    tag = TAG
    writes: ClassVar[Role] = Role.TEACHER
    serializer_class = MeasurementSerializer
    input_class = MeasurementInput

    @extend_schema(operation_id="paint_measurements", responses=MeasurementSerializer(many=True))
    def get(self, request: Request, studio: str, pk: int) -> Response:
        """Everything that was given, those withdrawn too, the newest first."""
        paint = self.one(Paint.objects.of(self.studio), pk=pk)
        rows = queries.measurements(self.studio, withdrawn=True).filter(paint=paint)
        return Response(self.get_serializer(rows, many=True).data)

    @extend_schema(
        operation_id="measurement_add",
        responses={201: MeasurementSerializer},
        examples=[
            OpenApiExample(
                "a masstone",
                {"kind": "masstone", "text": "32.1, 14.2, -41.7", "illuminant": "D65", "observer": "10"},
                request_only=True,
            )
        ],
    )
    def post(self, request: Request, studio: str, pk: int) -> Response:
        """Give a colour. What cannot be used is refused with its remedy; what is unsure is asked by field."""
        paint = self.one(Paint.objects.of(self.studio), pk=pk)
        given = self.read()
        beside = Beside(
            given["kind"],
            given.get("white"),
            given.get("film_white", ""),
            given.get("note", ""),
            [kind.value for kind in MAY_STAND] if given.get("confirmed") else [],
            given.get("exchange", False),
            given.get("film_um", ""),
        )
        kept = self._spectrum(paint, beside, given) if "spectrum" in given else self._colour(paint, beside, given)
        return self.answer(self.one(queries.measurements(self.studio), pk=kept.pk), status=201)

    def _colour(self, paint: Paint, beside: Beside, given: dict[str, Any]) -> Measurement:
        stated = {name: given.get(name) for name in ("illuminant", "observer")}
        notation = given.get("notation", "")
        return services.add_colour(
            paint, by=self.person, beside=beside, text=given["text"], notation=notation, **stated
        )

    def _spectrum(self, paint: Paint, beside: Beside, given: dict[str, Any]) -> Measurement:
        chosen: dict[str, str] = {
            name: given[name] for name in ("specular", "geometry", "backing", "scale") if name in given
        }
        try:
            return services.add_spectrum(
                paint,
                by=self.person,
                beside=beside,
                data=given["spectrum"].encode(),
                file_name=given.get("file_name", "spectrum"),
                sample=given.get("sample", ""),
                chosen={**chosen, "illuminant": given.get("light", "")},
            )
        except ValidationError as error:
            # The page has a file where this has a text, and its light is called by another name.
            names = {"file": "spectrum", "illuminant": "light"}
            raise ValidationError({names.get(name, name): them for name, them in error.error_dict.items()}) from error


class Measurements(StudioList):
    """What was measured in the whole studio, the newest first."""

    model = Measurement
    tag = TAG
    serializer_class = MeasurementSerializer
    filterset_class = filters.MeasurementFilterSet
    ordering = ("-pk",)

    def rows(self) -> Any:
        return queries.measurements(self.studio, withdrawn=True).order_by()

    @extend_schema(operation_id="measurements")
    def get(self, request: Request, **address: Any) -> Response:
        return super().get(request, **address)


class WithdrawMeasurement(StudioView):
    """Take a measurement out of use; its row stays. It is no error when it was withdrawn already."""

    tag = TAG
    writes: ClassVar[Role] = Role.TEACHER
    serializer_class = MeasurementSerializer

    @extend_schema(operation_id="measurement_withdraw", request=None, responses={200: MeasurementSerializer})
    def post(self, request: Request, studio: str, pk: int) -> Response:
        found = self.one(queries.measurements(self.studio, withdrawn=True), pk=pk)
        services.withdraw(found, by=self.person)
        return self.answer(self.one(queries.measurements(self.studio, withdrawn=True), pk=pk))


class RestoreMeasurement(StudioView):
    """Let a withdrawn measurement stand again, after the checks of a new one."""

    tag = TAG
    writes: ClassVar[Role] = Role.TEACHER
    serializer_class = MeasurementSerializer

    @extend_schema(operation_id="measurement_restore", request=None, responses={200: MeasurementSerializer})
    def post(self, request: Request, studio: str, pk: int) -> Response:
        found = self.one(queries.measurements(self.studio, withdrawn=True), pk=pk)
        services.bring_back(found, by=self.person)
        return self.answer(self.one(queries.measurements(self.studio, withdrawn=True), pk=pk))


class LikelySerializer(serializers.Serializer[queries.Likely]):
    name = serializers.CharField()
    hex = serializers.CharField(allow_blank=True)
    text = serializers.CharField(help_text="How sure the prediction is.")


class CurveSerializer(serializers.Serializer[queries.PaintColour]):
    """The curves that a paint is drawn and mixed with, where they come from, and what is said of them."""

    paint = ItemNameSerializer()
    known = serializers.CharField(help_text="What is known of its colour, in words.")
    origin = serializers.ChoiceField(
        source="curve_origin", choices=[(one.value, one.value) for one in Origin], allow_null=True
    )
    state = serializers.ChoiceField(
        source="stored.state", choices=CurveState.choices, default=None, allow_null=True, help_text="null: typical."
    )
    message = serializers.CharField(source="stored.message", default="", allow_blank=True)
    rests_on = serializers.CharField(allow_blank=True)
    reason = serializers.CharField(allow_blank=True, help_text="Why there is no curve.")
    wavelengths_nm = serializers.SerializerMethodField()
    absorption = serializers.SerializerMethodField(help_text="K, in units in which titanium white scatters 1.")
    scattering = serializers.SerializerMethodField(help_text="S, in the same units.")
    reflectance = serializers.SerializerMethodField(help_text="Of the masstone, as fractions.")
    worst_fit = serializers.FloatField(source="stored.worst_fit", default=None, allow_null=True, help_text="CIEDE2000.")
    likely = LikelySerializer(many=True)
    helps = serializers.SerializerMethodField(help_text="Measurements that would help, the most helpful first.")
    next = serializers.CharField(allow_blank=True)

    @extend_schema_field(serializers.ListField(child=serializers.IntegerField()))
    def get_wavelengths_nm(self, colour: queries.PaintColour) -> list[int]:
        return [int(nm) for nm in WAVELENGTHS_NM]

    @extend_schema_field(serializers.ListField(child=serializers.FloatField()))
    def get_absorption(self, colour: queries.PaintColour) -> list[float]:
        return [row.absorption for row in colour.table]

    @extend_schema_field(serializers.ListField(child=serializers.FloatField()))
    def get_scattering(self, colour: queries.PaintColour) -> list[float]:
        return [row.scattering for row in colour.table]

    @extend_schema_field(serializers.ListField(child=serializers.FloatField()))
    def get_reflectance(self, colour: queries.PaintColour) -> list[float]:
        return [row.reflectance for row in colour.table]

    @extend_schema_field(serializers.ListField(child=serializers.CharField()))
    def get_helps(self, colour: queries.PaintColour) -> list[str]:
        return [one.text for one in colour.helps]


class PaintCurveView(StudioView):
    """The curve of a paint: its own where its colours were measured, typical of its pigments otherwise."""

    tag = TAG
    serializer_class = CurveSerializer

    @extend_schema(operation_id="paint_curve")
    def get(self, request: Request, studio: str, pk: int) -> Response:
        self.one(Paint.objects.of(self.studio), pk=pk)
        return self.answer(queries.paint_colour(self.studio, pk))

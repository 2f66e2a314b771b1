"""What the paints in stock mix to, which do the same job, and which tube to add next: the figures of the pages."""

from typing import Any

from django import forms
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.colour.wheel import HUES, VALUE_LEVELS, colour_limit
from inventory.models import Binder, Paint
from inventory.queries import next_tube
from inventory.queries import wheel as queries
from inventory.queries.wheel import HOW_SURE, Wheel
from studio.api.views import StudioView

NONE_IN_STOCK = "No paint of the studio's own is in stock, so there is nothing to mix."
BINDER = OpenApiParameter(
    "binder", str, enum=Binder.values, description="Left out: the one with most paints of known colour."
)


class PaintNameSerializer(serializers.ModelSerializer[Paint]):
    class Meta:
        model = Paint
        fields = ("id", "name")


class Rounded(serializers.FloatField):
    """A figure that is no surer than its second decimal."""

    def to_representation(self, value: Any) -> Any:
        return round(float(value), 2)


class BinderChoiceSerializer(serializers.Serializer):
    value = serializers.ChoiceField(choices=Binder.choices)
    label = serializers.CharField()  # type: ignore[assignment]  # a field of that name
    paints = serializers.IntegerField(help_text="Paints of known colour.")
    left_out = serializers.IntegerField()


class BandSerializer(serializers.Serializer):
    value = serializers.CharField(help_text="dark, middle or light values.")
    chroma = Rounded()
    limit = Rounded()
    points = Rounded()


class GapSerializer(serializers.Serializer):
    """A hue that falls short, with what it costs in percentage points of coverage."""

    hue = serializers.CharField()
    symbol = serializers.CharField()
    sentence = serializers.CharField()
    bands = BandSerializer(many=True)
    points = Rounded()


class ShareSerializer(serializers.Serializer):
    """What one paint alone holds up."""

    paint = PaintNameSerializer()
    points = Rounded(help_text="Percentage points of coverage that go with it.")
    holds = serializers.CharField(allow_blank=True)


class SameJobSerializer(serializers.Serializer):
    """A paint whose job others do, how near they come (CIEDE2000), and what would be lost."""

    paint = PaintNameSerializer()
    others = PaintNameSerializer(many=True)
    masstone_difference = Rounded()
    tint_difference = Rounded(allow_null=True)
    mixture = serializers.CharField(allow_blank=True, help_text="A starting point, not a recipe.")
    mixture_hex = serializers.CharField(allow_blank=True)
    lost = serializers.ListField(child=serializers.CharField())
    note = serializers.CharField(allow_blank=True)


class LeftOutSerializer(serializers.Serializer):
    reason = serializers.CharField()
    paints = PaintNameSerializer(many=True)


class ReachSerializer(serializers.Serializer[Wheel]):
    """Rows are value levels (L*), columns hues (degrees in CIELAB)."""

    levels = serializers.SerializerMethodField()
    hues = serializers.SerializerMethodField()
    chroma = serializers.SerializerMethodField(help_text="The highest chroma C*ab that the paints mix to; 0: none.")
    limit = serializers.SerializerMethodField(help_text="That of real surface colours (Pointer 1980).")

    def get_levels(self, wheel: Wheel) -> list[int]:
        return list(VALUE_LEVELS)

    def get_hues(self, wheel: Wheel) -> list[float]:
        return [float(hue) for hue in HUES]

    def get_chroma(self, wheel: Wheel) -> list[list[float]]:
        return [] if wheel.reached is None else _rounded(wheel.reached.chroma)

    def get_limit(self, wheel: Wheel) -> list[list[float]]:
        return _rounded(colour_limit())


def _rounded(table: Any) -> list[list[float]]:
    return [[round(float(value), 2) for value in row] for row in table]


class WheelSerializer(serializers.Serializer[Wheel]):
    binder = serializers.ChoiceField(choices=Binder.choices)
    binder_label = serializers.CharField()
    binders = BinderChoiceSerializer(many=True)
    percent = Rounded(allow_null=True, help_text="Coverage; null: no paint has a known colour.")
    meaning = serializers.CharField(allow_blank=True)
    reach = ReachSerializer(source="*")
    gaps = GapSerializer(many=True)
    shares = ShareSerializer(many=True)
    left_out = LeftOutSerializer(many=True)
    notes = serializers.ListField(child=serializers.CharField())
    how_sure = serializers.SerializerMethodField()

    def get_how_sure(self, wheel: Wheel) -> str:
        return HOW_SURE


class SameJobsSerializer(serializers.Serializer[Wheel]):
    """The three meanings of redundant, kept apart."""

    binder = serializers.ChoiceField(choices=Binder.choices)
    same_pigments = SameJobSerializer(many=True, help_text="The same pigments under another name.")
    near_twins = SameJobSerializer(many=True, help_text="The same colour and behaviour.")
    mixable = SameJobSerializer(many=True, help_text="A colour that the others can mix.")
    how_sure = serializers.SerializerMethodField()

    def get_how_sure(self, wheel: Wheel) -> str:
        return HOW_SURE


class CandidateSerializer(serializers.Serializer):
    """A pigment that might be bought. Marks are as commonly held; nothing here says that a tube is harmless."""

    rank = serializers.IntegerField(source="advice.rank")
    tied = serializers.BooleanField(source="advice.tied")
    pigment = serializers.CharField(source="pigment.ci_name")
    shade = serializers.CharField(source="row.name")
    hex = serializers.CharField()
    gain = Rounded(source="advice.gain", help_text="Percentage points of coverage that it adds.")
    before = Rounded(source="advice.before")
    after = Rounded(source="advice.after")
    after_first = Rounded(allow_null=True, help_text="What it would add at the least once the first were bought.")
    opens = serializers.CharField(allow_blank=True)
    stays = serializers.CharField(allow_blank=True, help_text="What stays short with it.")
    lightfastness = serializers.CharField()
    opacity = serializers.CharField()
    strength = serializers.CharField()
    hazard = serializers.CharField()
    on_the_shelf = serializers.ListField(child=serializers.CharField())


class NextTubesSerializer(serializers.Serializer[next_tube.NextTubes]):
    binder = serializers.ChoiceField(choices=Binder.choices)
    binder_label = serializers.CharField()
    binders = BinderChoiceSerializer(many=True)
    percent = Rounded()
    candidates = CandidateSerializer(many=True)
    reference_is_loaded = serializers.BooleanField(source="rows_known")
    how_sure = serializers.SerializerMethodField()

    def get_how_sure(self, tubes: next_tube.NextTubes) -> str:
        return HOW_SURE


class Palette(StudioView):
    """An answer about the paints of one binder; binders are never mixed."""

    tag = "colour"
    parameters = ("binder",)

    def binder(self) -> str | None:
        text = self.request.query_params.get("binder")
        if text is None:
            return None
        field = forms.ChoiceField(choices=Binder.choices)
        try:
            return str(field.clean(text))
        except forms.ValidationError as error:
            raise forms.ValidationError({"binder": error.messages}) from error

    def found(self, query: Any, name: str) -> Response:
        """Under its name what was found, null where nothing is in stock, with the reason."""
        try:
            answer = query(self.studio, self.binder())
        except ValueError as error:
            raise forms.ValidationError({"binder": [str(error)]}) from error
        serializer: Any = type(self).serializer_class
        shown = serializer({name: answer, "reason": "" if answer else NONE_IN_STOCK})
        return Response(shown.data)


class WheelAnswer(serializers.Serializer):
    wheel = WheelSerializer(allow_null=True)
    reason = serializers.CharField(allow_blank=True, help_text="Why there is none.")


class WheelView(Palette):
    """What the paints in stock mix to, against the colours that real surfaces have."""

    serializer_class = WheelAnswer

    @extend_schema(operation_id="wheel", parameters=[BINDER])
    def get(self, request: Request, studio: str) -> Response:
        return self.found(queries.wheel, "wheel")


class SameJobAnswer(serializers.Serializer):
    same_job = SameJobsSerializer(allow_null=True)
    reason = serializers.CharField(allow_blank=True)


class SameJobView(Palette):
    """Which paints do the same job, and what would be lost without one."""

    serializer_class = SameJobAnswer

    @extend_schema(operation_id="same_job", parameters=[BINDER])
    def get(self, request: Request, studio: str) -> Response:
        return self.found(queries.wheel, "same_job")


class NextTubesAnswer(serializers.Serializer):
    next_tubes = NextTubesSerializer(allow_null=True)
    reason = serializers.CharField(allow_blank=True)


class NextTubesView(Palette):
    """Which tube to add next, by what it would open."""

    serializer_class = NextTubesAnswer

    @extend_schema(operation_id="next_tubes", parameters=[BINDER])
    def get(self, request: Request, studio: str) -> Response:
        return self.found(next_tube.next_tubes, "next_tubes")

"""Mixtures, ways to a colour, and layers: the figures of the pages. They write nothing, so students may ask too."""

from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.api.colour import PaintNameSerializer, Rounded
from inventory.measuring.colours import Notation
from inventory.measuring.viewing import Illuminant, Observer
from inventory.models import Binder
from inventory.queries.layers import UNIT, UNTESTED, Layers, Under, layered
from inventory.queries.mix import FEWEST, MOST, MOST_PARTS, NO_RECIPE, THEORY, Mix, mix
from inventory.queries.mixable import bench
from inventory.queries.seek import Sought, read_wanted, ways_to
from studio.api.inputs import Choice, Input, Text, Whole
from studio.api.views import StudioView
from studio.models import Role

BIGGEST = 2**31 - 1


class SeenSerializer(serializers.Serializer):
    """A colour for D65 and the 10 degree observer."""

    L = Rounded(help_text="CIE 1976 L*.")
    a = serializers.SerializerMethodField()
    b = serializers.SerializerMethodField()
    C = Rounded(help_text="C*ab.")
    hue = Rounded(allow_null=True, help_text="Degrees in CIELAB; null: next to no hue.")
    hue_words = serializers.CharField()
    munsell_value = Rounded(source="value")
    words = serializers.CharField()
    hex = serializers.CharField(help_text="As near as an sRGB screen shows it.")
    clipped = serializers.BooleanField(help_text="True where no sRGB screen reaches it.")

    def get_a(self, colour: Any) -> float:
        return round(float(colour.lab[1]), 2)

    def get_b(self, colour: Any) -> float:
        return round(float(colour.lab[2]), 2)


class ToldSerializer(serializers.Serializer):
    """A predicted colour and how sure it is."""

    seen = SeenSerializer(allow_null=True, help_text="null: nothing may be said of it.")
    word = serializers.CharField(help_text="good, about right, direction only, measured, or that there is no figure.")
    within = Rounded(allow_null=True, help_text="CIEDE2000 that it likely keeps; null: no figure may be given.")
    text = serializers.CharField()


class MixturePartSerializer(serializers.Serializer):
    paint = PaintNameSerializer(source="one.paint")
    parts = Rounded()
    share = Rounded(help_text="0 to 1.")
    known = serializers.CharField(source="one.basis_words", allow_blank=True, help_text="What its curve rests on.")
    reason = serializers.CharField(source="one.reason", allow_blank=True, help_text="Why nothing may be said of it.")
    seen = SeenSerializer(source="one.seen", allow_null=True, help_text="The paint alone.")


class TintSerializer(serializers.Serializer):
    white_parts = serializers.IntegerField(help_text="Parts of white to one part of the mixture.")
    told = ToldSerializer()


class AtTheBenchSerializer(serializers.Serializer):
    """An answer that holds for the paints at hand; the view gives the bench as context."""

    set_notes = serializers.SerializerMethodField(help_text="What is left out of the paints at hand, and why.")

    def get_set_notes(self, _: Any) -> list[str]:
        left_out = self.context["bench"].left_out
        return [left_out] if left_out else []


class MixSerializer(AtTheBenchSerializer):
    """A mixture: a place to start from, never an exact recipe."""

    binder = serializers.ChoiceField(choices=Binder.choices)
    parts = MixturePartSerializer(many=True)
    told = ToldSerializer()
    why = serializers.CharField()
    white = PaintNameSerializer(
        source="white_paint", allow_null=True, help_text="The white of the tints; null: a typical titanium white."
    )
    tints = TintSerializer(many=True)
    notes = serializers.ListField(child=serializers.CharField())
    how_sure = serializers.SerializerMethodField()

    def get_how_sure(self, mixture: Mix) -> str:
        return f"{NO_RECIPE} {THEORY}"


class IngredientSerializer(serializers.Serializer):
    paint = PaintNameSerializer()
    parts = serializers.IntegerField()


class RouteSerializer(serializers.Serializer):
    """One way to the wanted colour."""

    ingredients = IngredientSerializer(many=True)
    told = ToldSerializer()
    difference = Rounded(help_text="CIEDE2000 to the wanted colour, by the best curves.")
    differs = serializers.CharField()
    note = serializers.CharField(allow_blank=True)
    lasting = serializers.CharField(help_text="The weakest lightfastness among its paints.")
    metals = serializers.CharField(help_text="It never says that there is no hazard.")


class SoughtSerializer(AtTheBenchSerializer):
    """The ways to a colour, fewest paints first."""

    binder = serializers.ChoiceField(choices=Binder.choices)
    text = serializers.CharField()
    wanted = SeenSerializer()
    rough = serializers.BooleanField()
    converted = serializers.CharField(allow_blank=True)
    remarks = serializers.ListField(child=serializers.CharField())
    ways = RouteSerializer(many=True)
    short = serializers.CharField(allow_blank=True, help_text="What no way reaches; empty: one comes near enough.")
    how_sure = serializers.SerializerMethodField()

    def get_how_sure(self, sought: Sought) -> str:
        return f"{NO_RECIPE} {THEORY}"


class CoatSerializer(serializers.Serializer):
    thickness = Rounded(help_text="In units in which titanium white scatters 1.")
    over_black = SeenSerializer()
    over_white = SeenSerializer()
    over_ground = SeenSerializer()
    ratio = Rounded(help_text="Contrast ratio: luminance over black by that over white.")
    within = Rounded(help_text="CIEDE2000 that the colour over the ground likely keeps.")


class CoverSerializer(serializers.Serializer):
    opacity = serializers.CharField(help_text="The class of a thin coat by its curve.")
    ratio = Rounded()
    hides_at = Rounded(allow_null=True, help_text="Thickness at a contrast ratio of 0.98; null: never.")
    hiding_words = serializers.CharField()
    label = serializers.CharField(allow_blank=True, help_text="What the label says.")  # type: ignore[assignment]  # a field of that name
    doubt = serializers.CharField(allow_blank=True)


class LayersSerializer(AtTheBenchSerializer):
    """A paint in films over a ground."""

    paint = PaintNameSerializer(source="one.paint")
    ground = serializers.CharField(source="ground.words")
    ground_seen = SeenSerializer(source="ground.seen")
    ground_note = serializers.CharField(source="ground.note", allow_blank=True)
    coats = CoatSerializer(many=True)
    cover = CoverSerializer()
    how_sure = serializers.SerializerMethodField()

    def get_how_sure(self, layers: Layers) -> str:
        return f"{UNIT} {UNTESTED}"


class PartInput(Input):
    paint = Whole(min_value=1, max_value=BIGGEST)
    parts = serializers.FloatField(min_value=0.0, max_value=MOST_PARTS, default=1.0)


class MixInput(Input):
    paints = serializers.ListField(child=PartInput(), min_length=FEWEST, max_length=MOST)


class WantedInput(Input):
    """A colour as it is written, in a binder."""

    text = Text(max_length=120)
    binder = Choice(choices=Binder.choices, required=False, help_text="Left out: the one with most paints.")
    notation = Choice(choices=[one.value for one in Notation], required=False)
    illuminant = Choice(choices=[one.value for one in Illuminant], required=False)
    observer = Choice(choices=[one.value for one in Observer], required=False)


class LayersInput(Input):
    """`ground` is the paint under the film, `text` a colour under it; which of them is said by `under`."""

    paint = Whole(min_value=1, max_value=BIGGEST)
    under = Choice(choices=[one.value for one in Under], default=Under.BLACK.value)
    ground = Whole(min_value=1, max_value=BIGGEST, required=False)
    text = Text(max_length=120, required=False)
    illuminant = Choice(choices=[one.value for one in Illuminant], required=False)
    observer = Choice(choices=[one.value for one in Observer], required=False)


class Asking(StudioView):
    """A question that is sent as a body and writes nothing."""

    tag = "colour"
    writes = Role.STUDENT


class MixView(Asking):
    """What a mixture of two to four paints of one binder looks like, how sure that is, and its tints."""

    serializer_class = MixSerializer
    input_class = MixInput

    @extend_schema(
        operation_id="mix",
        responses={200: MixSerializer},
        examples=[
            OpenApiExample("two parts to one", {"paints": [{"paint": 1, "parts": 2}, {"paint": 2}]}, request_only=True)
        ],
    )
    def post(self, request: Request, studio: str) -> Response:
        given = [(one["paint"], one["parts"]) for one in self.read()["paints"]]
        at = bench(self.studio, [pk for pk, _ in given])
        return self.answer(mix(at, given), bench=at)


class SeekView(Asking):
    """Ways from the tubes in stock to a wanted colour."""

    serializer_class = SoughtSerializer
    input_class = WantedInput

    @extend_schema(
        operation_id="seek",
        responses={200: SoughtSerializer},
        examples=[OpenApiExample("Munsell notation", {"text": "5R 4/12", "binder": "oil"}, request_only=True)],
    )
    def post(self, request: Request, studio: str) -> Response:
        asked = self.read()
        at = bench(self.studio)
        binder = asked.pop("binder", None) or (at.binders[0] if at.binders else Binder.UNKNOWN.value)
        return self.answer(ways_to(at, binder, read_wanted(**asked)), bench=at)


class LayersView(Asking):
    """A paint in films of several thicknesses over black, white, another paint or any colour."""

    serializer_class = LayersSerializer
    input_class = LayersInput

    @extend_schema(
        operation_id="layers",
        responses={200: LayersSerializer},
        examples=[OpenApiExample("a glaze", {"paint": 1, "under": "paint", "ground": 2}, request_only=True)],
    )
    def post(self, request: Request, studio: str) -> Response:
        asked = self.read()
        named = [asked[name] for name in ("paint", "ground") if name in asked]
        at = bench(self.studio, named)
        return self.answer(layered(at, **asked), bench=at)

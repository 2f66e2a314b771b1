"""What a set of paints mixes to, which do the same job, and which tube to add next: the figures of the pages."""

import re
from collections.abc import Callable
from typing import Any, ClassVar

from django import forms
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.colour.wheel import HUES, VALUE_LEVELS, colour_limit
from inventory.forms.mixing import NextTubeForm
from inventory.models import Binder, OpticalRow, Paint
from inventory.queries import next_tube
from inventory.queries import wheel as queries
from inventory.queries.cells import CellAnswer, cell_of
from inventory.queries.comparing import Comparison, compared
from inventory.queries.paint_sets import Asked, PaintSet, paint_set
from inventory.queries.pigment_words import METALS
from inventory.queries.replacing import Replacement, replacement
from inventory.queries.wanted import Wanted, sifted
from inventory.queries.wheel import SameJobs, Wheel
from studio.api.views import StudioView

NONE_IN_STOCK = "No paint of the studio's own is in stock, so there is nothing to mix."
NO_SUCH_SET = "There is no such place or person in this studio."
SET_PATTERN = r"^(stock|chosen|(place|person|with)-[0-9]{1,9})$"
PAINTS_PATTERN = r"^[0-9]{1,9}(-[0-9]{1,9})?(,[0-9]{1,9}(-[0-9]{1,9})?){0,1999}$"
NUMBER_PATTERN = r"^[0-9]{1,9}$"
PRICE_PATTERN = r"^[1-9][0-9]{0,6}(\.[0-9]{1,2})?$"
METALS_PATTERN = rf"^({'|'.join(METALS)})(,({'|'.join(METALS)}))*$"


def set_parameters(prefix: str = "") -> list[OpenApiParameter]:
    """Which paints: a set, the paints of a selection, and the binder."""
    return [
        OpenApiParameter(
            f"{prefix}set",
            {"type": "string", "pattern": SET_PATTERN},
            description="`stock` (left out), `place-3`, `person-5` (that member's own tubes), `with-5` (the studio's "
            "and that member's), or `chosen`, the paints in `p`, in stock or not.",
        ),
        OpenApiParameter(
            f"{prefix}p",
            {"type": "string", "pattern": PAINTS_PATTERN},
            description="Paints of a selection by number, such as `3,7-9`; 2000 at most.",
        ),
        OpenApiParameter(
            f"{prefix}binder",
            str,
            enum=Binder.values,
            description="Left out: the one with most paints of known colour.",
        ),
    ]


LEVEL = OpenApiParameter("level", int, enum=list(VALUE_LEVELS), default=50, description="Value, L*.")
HUE = OpenApiParameter(
    "hue", int, enum=[int(hue) for hue in HUES], default=0, description="Middle of the sector in degrees (CIELAB)."
)
WANTED = [
    OpenApiParameter("transparent", str, enum=["on"], description="Only pigments known as transparent."),
    OpenApiParameter("lasting", str, enum=["on"], description="Only pigments known as ASTM I or II."),
    OpenApiParameter(
        "without",
        {"type": "string", "pattern": METALS_PATTERN},
        description=f"Metals to leave out, with commas: {', '.join(METALS)}.",
    ),
    OpenApiParameter(
        "group",
        {"type": "string", "pattern": NUMBER_PATTERN},
        description="A group of the studio: what the house rules forbid it is left out. Left out: everybody.",
    ),
    OpenApiParameter(
        "price",
        {"type": "string", "pattern": PRICE_PATTERN},
        description="The most that a pack may cost, in the studio's currency; pigments without an offer are left out.",
    ),
    OpenApiParameter("lasting_stock", str, enum=["on"], description="Paints in stock that fade do not count."),
]


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
    sure = serializers.CharField(allow_blank=True, help_text="In how many of the cases that the curves allow it holds.")
    share = Rounded(allow_null=True, help_text="The same as a share of 1.")


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
    paints = serializers.CharField(source="words", help_text="The set in words.")
    set_notes = serializers.ListField(child=serializers.CharField(), source="chosen.notes")
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
    how_sure = serializers.CharField()


class SameJobsSerializer(serializers.Serializer[SameJobs]):
    """The three meanings of redundant, kept apart."""

    binder = serializers.ChoiceField(choices=Binder.choices)
    same_pigments = SameJobSerializer(many=True, help_text="The same pigments under another name.")
    near_twins = SameJobSerializer(many=True, help_text="The same colour and behaviour.")
    mixable = SameJobSerializer(many=True, help_text="A colour that the others can mix.")
    how_sure = serializers.CharField()


class ExpectedSerializer(serializers.Serializer):
    """The gain over everything that the curves may be: the mean, and what nine in ten of them keep."""

    mean = Rounded()
    low = Rounded()
    high = Rounded()


class RestrictionSerializer(serializers.Serializer):
    """A house rule that catches a pigment; none found is no statement that it is safe."""

    rule = serializers.CharField()
    why = serializers.CharField()
    decided = serializers.CharField(source="source", help_text="Who decided it, and when.")
    unknown = serializers.BooleanField(help_text="Caught because something is not known.")


class PriceSerializer(serializers.Serializer):
    """The cheapest offer that stands. Currencies are never turned into one another."""

    words = serializers.CharField()
    minor = serializers.IntegerField(help_text="Of a pack, in the currency's smallest coin.")
    currency = serializers.CharField(source="offer.currency")
    comparable = serializers.BooleanField(help_text="In the studio's currency.")


class BarredSerializer(serializers.Serializer):
    """A pigment that a house rule keeps out."""

    pigment = serializers.CharField(source="row.pigment.ci_name")
    shade = serializers.CharField(source="row.name")
    words = serializers.CharField()
    rules = RestrictionSerializer(many=True)


class HeldByFadingSerializer(serializers.Serializer):
    """What fading tubes alone hold up, and what would hold it lastingly."""

    paints = PaintNameSerializer(many=True)
    points = Rounded()
    words = serializers.CharField()
    remedy = serializers.CharField()


class CandidateSerializer(serializers.Serializer):
    """A pigment that might be bought. Marks are as commonly held; nothing here says that a tube is harmless."""

    rank = serializers.IntegerField()
    tied = serializers.BooleanField()
    pigment = serializers.CharField(source="pigment.ci_name")
    shade = serializers.CharField(source="row.name")
    hex = serializers.CharField()
    gain = Rounded(source="advice.gain", help_text="Points of coverage that it adds by the typical curves.")
    expected = ExpectedSerializer(allow_null=True, help_text="Of the leading candidates alone.")
    whole = serializers.BooleanField(
        source="advice.whole", help_text="False: held to mixtures with one other colour; it adds at least the gain."
    )
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
    price = PriceSerializer(allow_null=True, help_text="Null: no offer here.")
    warnings = RestrictionSerializer(many=True, help_text="House rules under which it may be used with a warning.")


class NextTubesSerializer(serializers.Serializer[next_tube.NextTubes]):
    binder = serializers.ChoiceField(choices=Binder.choices)
    binder_label = serializers.CharField()
    binders = BinderChoiceSerializer(many=True)
    percent = Rounded()
    candidates = CandidateSerializer(many=True)
    reference_is_loaded = serializers.BooleanField(source="rows_known")
    refused = serializers.DictField(
        child=serializers.IntegerField(), help_text="How many pigments were left out for which reason."
    )
    barred = BarredSerializer(many=True, help_text="What house rules keep out, the best first.")
    fading = HeldByFadingSerializer(allow_null=True)
    not_counted = PaintNameSerializer(many=True, help_text="Fading paints that do not count, where that was asked.")
    how_sure = serializers.CharField()


class SubstituteSerializer(serializers.Serializer):
    """A pigment in the place of a paint, with what would be different."""

    pigment = serializers.CharField(source="row.pigment.ci_name")
    shade = serializers.CharField(source="row.name")
    hex = serializers.CharField()
    masstone_difference = Rounded()
    tint_difference = Rounded()
    looks = serializers.CharField()
    opacity = serializers.CharField()
    strength = serializers.CharField()
    lightfastness = serializers.CharField()
    mixing = serializers.CharField()
    hazard = serializers.CharField()
    price = PriceSerializer(allow_null=True, help_text="Null: no offer here.")
    warnings = RestrictionSerializer(many=True)


class ReplacementSerializer(serializers.Serializer[Replacement]):
    paint = PaintNameSerializer()
    loss = Rounded(help_text="Points of coverage that go without the paint.")
    lost = serializers.CharField(allow_blank=True)
    substitutes = SubstituteSerializer(many=True)


class PartSerializer(serializers.Serializer):
    paint = PaintNameSerializer()
    parts = serializers.IntegerField()


class WaySerializer(serializers.Serializer):
    """One mixture in whole parts: a starting point, never an exact recipe."""

    parts = PartSerializer(many=True)
    hex = serializers.CharField()
    certainty = serializers.CharField(source="word")
    sure = serializers.CharField(help_text="How near it likely comes, in words; no figure where none may be given.")
    misses = serializers.CharField()
    note = serializers.CharField(allow_blank=True)


class CellSerializer(serializers.Serializer[CellAnswer]):
    hue = serializers.CharField()
    munsell = serializers.CharField(help_text="About, in Munsell's notation.")
    value = serializers.CharField()
    chroma = Rounded(source="cell.chroma", help_text="Reached, C*ab; 0: not reached.")
    limit = Rounded(source="cell.limit")
    ways = WaySerializer(many=True)


class ComparedRowSerializer(serializers.Serializer):
    hue = serializers.CharField()
    symbol = serializers.CharField()
    value = serializers.CharField()
    first = Rounded()
    second = Rounded()
    limit = Rounded()
    farther = serializers.CharField()


class SideSerializer(serializers.Serializer[Wheel]):
    paints = serializers.CharField(source="words")
    binder = serializers.ChoiceField(choices=Binder.choices)
    percent = Rounded()
    how_sure = serializers.CharField()


class ComparisonSerializer(serializers.Serializer[Comparison]):
    first = SideSerializer()
    second = SideSerializer()
    points_first = Rounded(help_text="Points of coverage that the first reaches and the second does not.")
    points_second = Rounded()
    words = serializers.ListField(child=serializers.CharField())
    rows = ComparedRowSerializer(many=True)


class Palette(StudioView):
    """An answer about the paints of one set and binder; binders are never mixed."""

    tag = "colour"
    parameters: ClassVar[tuple[str, ...]] = ("set", "p", "binder")

    def chosen(self, prefix: str = "") -> PaintSet:
        """The set that the address names; refused by field where it means nothing or has several binders."""
        query = self.request.query_params
        self._matching(f"{prefix}set", SET_PATTERN)
        self._matching(f"{prefix}p", PAINTS_PATTERN)
        if f"{prefix}binder" in query:
            self.one_of(f"{prefix}binder", Binder.values)
        try:
            asked = Asked.read(query, prefix)
        except ValueError as error:
            raise forms.ValidationError({f"{prefix}p": [str(error)]}) from error
        found = paint_set(self.studio, asked)
        if found is None:
            raise forms.ValidationError({f"{prefix}set": [NO_SUCH_SET]})
        if found.refused:
            raise forms.ValidationError({f"{prefix}p": [found.refused]})
        return found

    def one_of(self, name: str, values: list[str], usual: str = "") -> str:
        asked = self.request.query_params.get(name, usual)
        if asked not in values:
            said = f"{name}: “{asked[:60]}” is none of the choices. Send one of: {', '.join(values)}."
            raise forms.ValidationError({name: [said]})
        return asked

    def about(self, query: Callable[[PaintSet], Any], prefix: str = "") -> Any:
        chosen = self.chosen(prefix)
        try:
            return query(chosen)
        except ValueError as error:
            raise forms.ValidationError({f"{prefix}binder": [str(error)]}) from error

    def found(self, query: Callable[[PaintSet], Any], name: str, **more: Any) -> Response:
        """Under its name what was found, null where the set is empty, with the reason."""
        answer = self.about(query)
        serializer: Any = type(self).serializer_class
        shown = serializer({name: answer, "reason": "" if answer else NONE_IN_STOCK, **more})
        return Response(shown.data)

    def wanted(self) -> Wanted:
        query = self.request.query_params
        for name in ("transparent", "lasting", "lasting_stock"):
            if name in query:
                self.one_of(name, ["on"])
        self._matching("without", METALS_PATTERN)
        names = [name for name in query.get("without", "").split(",") if name]
        form = NextTubeForm(query, self.studio)
        if not form.is_valid():
            raise forms.ValidationError({name: list(errors) for name, errors in form.errors.items()})
        self._matching("group", NUMBER_PATTERN)
        self._matching("price", PRICE_PATTERN)
        return Wanted(
            transparent="transparent" in query,
            lasting="lasting" in query,
            without=tuple(symbol for name in dict.fromkeys(names) for symbol in METALS[name]),
            group=form.cleaned_data["group"],
            most_minor=form.cleaned_data["price"],
            lasting_stock="lasting_stock" in query,
        )

    def _matching(self, name: str, pattern: str) -> None:
        value = self.request.query_params.get(name)
        if value is not None and not re.fullmatch(pattern.strip("^$"), value):
            raise forms.ValidationError({name: [f"“{value[:60]}” is not of the form {pattern[:120]}."]})


class WheelAnswer(serializers.Serializer):
    wheel = WheelSerializer(allow_null=True)
    reason = serializers.CharField(allow_blank=True, help_text="Why there is none.")


class WheelView(Palette):
    """What a set of paints mixes to, against the colours that real surfaces have."""

    serializer_class = WheelAnswer

    @extend_schema(operation_id="wheel", parameters=set_parameters())
    def get(self, request: Request, studio: str) -> Response:
        return self.found(queries.wheel_of, "wheel")


class CellResponse(serializers.Serializer):
    cell = CellSerializer(allow_null=True)
    reason = serializers.CharField(allow_blank=True)


class CellView(Palette):
    """The mixtures that reach one cell of the wheel, in whole parts, and how sure they are."""

    serializer_class = CellResponse
    parameters = ("set", "p", "binder", "level", "hue")

    @extend_schema(operation_id="wheel_cell", parameters=[*set_parameters(), LEVEL, HUE])
    def get(self, request: Request, studio: str) -> Response:
        level = int(self.one_of("level", list(map(str, VALUE_LEVELS)), "50"))
        hue = int(self.one_of("hue", [str(int(one)) for one in HUES], "0"))

        def cell(chosen: PaintSet) -> CellAnswer | None:
            found = queries.wheel_of(chosen)
            return None if found is None else cell_of(found, level, hue)

        return self.found(cell, "cell")


class CompareAnswer(serializers.Serializer):
    comparison = ComparisonSerializer(allow_null=True)
    reason = serializers.CharField(allow_blank=True)


class CompareView(Palette):
    """Two sets side by side: what each reaches that the other does not."""

    serializer_class = CompareAnswer
    parameters = ("set", "p", "binder", "other_set", "other_p", "other_binder")

    @extend_schema(operation_id="wheel_compare", parameters=[*set_parameters(), *set_parameters("other_")])
    def get(self, request: Request, studio: str) -> Response:
        first, second = (self.about(queries.wheel_of, prefix) for prefix in ("", "other_"))
        found = compared(first, second) if first and second else None
        reason = "" if found else "One of the two sets has no paint of known colour, so there is nothing to compare."
        return Response(CompareAnswer({"comparison": found, "reason": reason}).data)


class SameJobAnswer(serializers.Serializer):
    same_job = SameJobsSerializer(allow_null=True)
    reason = serializers.CharField(allow_blank=True)


class SameJobView(Palette):
    """Which paints do the same job, and what would be lost without one."""

    serializer_class = SameJobAnswer

    @extend_schema(operation_id="same_job", parameters=set_parameters())
    def get(self, request: Request, studio: str) -> Response:
        return self.found(queries.same_jobs_of, "same_job")


class NextTubesAnswer(serializers.Serializer):
    next_tubes = NextTubesSerializer(allow_null=True)
    reason = serializers.CharField(allow_blank=True)


class NextTubesView(Palette):
    """Which tube to add next, by what it would open."""

    serializer_class = NextTubesAnswer
    parameters = ("set", "p", "binder", *(one.name for one in WANTED))

    @extend_schema(operation_id="next_tubes", parameters=[*set_parameters(), *WANTED])
    def get(self, request: Request, studio: str) -> Response:
        wanted = self.wanted()
        return self.found(lambda chosen: next_tube.next_tubes_of(self.studio, chosen, wanted), "next_tubes")


class ReplacementAnswer(serializers.Serializer):
    replacement = ReplacementSerializer(allow_null=True)
    reason = serializers.CharField(allow_blank=True)


class ReplacementView(Palette):
    """What could take the place of one paint, and what would be different."""

    serializer_class = ReplacementAnswer
    parameters = ("set", "p", "binder", *(one.name for one in WANTED))

    @extend_schema(operation_id="paint_replacement", parameters=[*set_parameters(), *WANTED])
    def get(self, request: Request, studio: str, pk: int) -> Response:
        self.one(Paint.objects.of(self.studio), pk=pk)
        wanted = self.wanted()

        def replaced(chosen: PaintSet) -> Replacement | None:
            found = queries.wheel_of(chosen)
            rows = list(OpticalRow.objects.select_related("pigment"))
            return None if found is None else replacement(found, pk, sifted(self.studio, found.binder, wanted, rows))

        answer = self.about(replaced)
        reason = "" if answer else "The paint is not among those of known colour in this set and binder."
        return Response(ReplacementAnswer({"replacement": answer, "reason": reason}).data)

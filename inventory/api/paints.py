"""Paints and materials: labels typed and read, questions answered, and what the reference says of pigments."""

from typing import Any

from django.shortcuts import get_object_or_404
from drf_spectacular.utils import OpenApiExample, extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.api import filters
from inventory.api.amounts import Amount, AmountSerializer, DensityInput, plain
from inventory.labels import LONGEST_LABEL
from inventory.models import (
    Binder,
    Form,
    Item,
    LightfastnessScale,
    Material,
    MaterialKind,
    Opacity,
    Paint,
    PaintPigment,
    Pigment,
    PigmentsKnown,
    Reading,
    ReadingField,
)
from inventory.queries import paints as queries
from inventory.queries.paints import Stock
from inventory.queries.palette import with_pigments
from inventory.reading import LabelReading, LabelTexts
from inventory.services import paints as services
from studio.api.inputs import Choice, Flag, Input, Text
from studio.api.views import ApiView, Pages, StudioList, StudioView
from studio.models import Role

SCALES = [(scale.value, scale.label) for scale in LightfastnessScale if scale != LightfastnessScale.UNKNOWN]
LABEL_EXAMPLE = {
    "name": "Sap Green",
    "pigments": "PG7, PY150",
    "binder": "oil",
    "lightfastness": "ASTM I",
    "opacity": "semi-transparent",
}


class LineSerializer(serializers.ModelSerializer[PaintPigment]):
    """A pigment of a paint, in the label's order."""

    in_reference = serializers.BooleanField(source="pigment_id", help_text="Whether the reference table has the code.")
    shade = serializers.CharField(source="shade.name", default=None, allow_null=True)

    class Meta:
        model = PaintPigment
        fields = ("code", "as_typed", "note", "shade", "in_reference")
        read_only_fields = fields


class OptionSerializer(serializers.Serializer):
    value = serializers.CharField(allow_blank=True, help_text="Send this as the answer.")
    label = serializers.CharField(allow_blank=True)  # type: ignore[assignment]  # a field of that name, as elsewhere


class DoubtSerializer(serializers.Serializer):
    """What the reader is unsure of. Answer with its key and the value of one of its options."""

    code = serializers.CharField()
    severity = serializers.ChoiceField(choices=["read-as", "note", "ask", "refused"])
    message = serializers.CharField()
    value = serializers.CharField(allow_blank=True, help_text="The part of the text that it is about.")
    key = serializers.CharField()
    options = OptionSerializer(many=True)


class ReadingSerializer(serializers.ModelSerializer[Reading]):
    """One text of the label: what was typed, what was read, what is doubtful, what a person chose."""

    field = serializers.ChoiceField(choices=ReadingField.choices)
    read = serializers.DictField(help_text="What was made of the text; its names depend on the field.")
    doubts = DoubtSerializer(many=True)
    chosen = serializers.DictField(child=serializers.CharField(allow_blank=True))

    class Meta:
        model = Reading
        fields = ("field", "text", "read", "doubts", "chosen", "settled", "at")
        read_only_fields = fields


class SwatchSerializer(serializers.Serializer):
    """Colours to draw the paint with; worked out, not photographed."""

    masstone = serializers.CharField()
    tint = serializers.CharField(allow_null=True, help_text="One part in nine of titanium white.")
    over_black = serializers.CharField(allow_null=True)
    transparent = serializers.BooleanField(allow_null=True)
    origin = serializers.CharField(help_text="Where its curve comes from.")
    note = serializers.CharField(allow_blank=True)


class OpacityMark(serializers.Serializer[Paint]):
    value = serializers.ChoiceField(source="opacity", choices=Opacity.choices)
    typed = serializers.CharField(source="opacity_text", allow_blank=True)


class StrengthMark(serializers.Serializer[Paint]):
    value = serializers.CharField(source="strength", allow_blank=True)
    scale = serializers.CharField(source="strength_scale", allow_blank=True)
    typed = serializers.CharField(source="strength_text", allow_blank=True)


class LightfastnessMark(serializers.Serializer[Paint]):
    value = serializers.CharField(source="lightfastness", allow_blank=True)
    scale = serializers.ChoiceField(source="lightfastness_scale", choices=LightfastnessScale.choices)
    maker_scale = serializers.CharField(source="lightfastness_maker_scale", allow_blank=True)
    typed = serializers.CharField(source="lightfastness_text", allow_blank=True)
    weakest_pigment = serializers.CharField(
        source="weakest_words",
        allow_blank=True,
        help_text="The pigment that rules how the paint lasts, where that says more than the label's mark.",
    )


class MarksSerializer(serializers.Serializer[Paint]):
    """Each mark with the text that was typed and its scale; marks of different scales are not compared."""

    opacity = OpacityMark(source="*")
    strength = StrengthMark(source="*")
    lightfastness = LightfastnessMark(source="*")


class StockSerializer(serializers.Serializer[Stock]):
    """What stands on the shelf, everybody's together."""

    sealed = serializers.IntegerField()
    open = serializers.IntegerField()
    left = serializers.SerializerMethodField(help_text="One amount for each unit; ml and g are never added.")
    left_is_estimate = serializers.BooleanField(source="is_estimate")
    unusable = serializers.IntegerField(help_text="How many of them hold what cannot be used; advice leaves them out.")

    @extend_schema_field(AmountSerializer(many=True))
    def get_left(self, stock: Stock) -> Any:
        return [AmountSerializer(Amount(*left)).data for left in stock.left]


FORM_HELP = "As what it is sold; empty: as usual for its kind. Another form is another exposure."


class ItemSerializer(serializers.ModelSerializer):
    """What paints and materials share."""

    form = serializers.ChoiceField(choices=Form.choices, allow_blank=True, help_text=FORM_HELP)
    density = serializers.SerializerMethodField(help_text="g/ml as a decimal; null: not known.")
    stock = serializers.SerializerMethodField()

    @extend_schema_field(serializers.CharField(allow_null=True))
    def get_density(self, item: Item) -> str | None:
        return None if item.density_milli is None else plain(item.density_milli)

    @extend_schema_field(StockSerializer)
    def get_stock(self, item: Item) -> Any:
        held: dict[int, Stock] = self.context["stock"]
        return StockSerializer(held.get(item.pk, Stock())).data


ITEM_FIELDS = (
    "id", "name", "form", "maker", "maker_code", "density", "density_is_estimate", "stock", "archived_at",
)  # fmt: skip


class PaintSerializer(ItemSerializer):
    """A paint as a list shows it."""

    pigments = LineSerializer(source="pigment_lines", many=True)
    pigments_known = serializers.ChoiceField(choices=PigmentsKnown.choices)
    binder = serializers.ChoiceField(choices=Binder.choices)
    has_open_question = serializers.BooleanField()
    marks = MarksSerializer(source="*")
    swatch = SwatchSerializer(allow_null=True, help_text="null: its colour is not known.")

    class Meta:
        model = Paint
        fields: tuple[str, ...] = (
            *ITEM_FIELDS, "binder", "series", "pigments", "pigments_known", "has_open_question", "marks", "swatch",
        )  # fmt: skip


class WholePaintSerializer(PaintSerializer):
    """A paint with its label as typed and all that was read of it."""

    readings = ReadingSerializer(many=True)

    class Meta(PaintSerializer.Meta):
        fields = (*PaintSerializer.Meta.fields, "pigment_text", "readings", "notes", "created_at")


def label_text(help_text: str) -> Text:
    return Text(required=False, allow_blank=True, trim_whitespace=False, max_length=LONGEST_LABEL, help_text=help_text)


class LabelInput(Input):
    """A label as it is typed. The texts are kept exactly; what is left out stays as it is."""

    name = Text(max_length=160, help_text="As the label has it, in any script.")
    pigments = label_text("The codes in the label's order.")
    lightfastness = label_text("The mark with its scale, such as ASTM I.")
    lightfastness_scale = Choice(
        choices=SCALES, required=False, help_text="The scale of that mark, where it does not say so itself."
    )
    opacity = label_text("The word or the sign on the tube.")
    strength = label_text("A word, or a figure with its scale.")


TEXTS = ("name", "pigments", "lightfastness", "lightfastness_scale", "opacity", "strength")


class PaintInput(LabelInput):
    binder = Choice(choices=Binder.choices, required=False)
    form = Choice(choices=Form.choices, required=False, allow_blank=True, help_text=FORM_HELP)
    maker = Text(max_length=80, required=False, allow_blank=True)
    maker_code = Text(max_length=60, required=False, allow_blank=True)
    series = Text(max_length=20, required=False, allow_blank=True, help_text="The maker's price group; never a price.")
    density = DensityInput(required=False, help_text="g/ml; empty: not known.")
    density_is_estimate = Flag(required=False)
    notes = Text(required=False, allow_blank=True, max_length=10_000)


class PaintPatch(PaintInput):
    """What is left out stays."""

    name = Text(max_length=160, required=False)


def _density(given: dict[str, Any]) -> dict[str, Any]:
    """The columns of a density; an estimate of nothing is no estimate."""
    fields = {}
    if "density" in given:
        fields["density_milli"] = given["density"]
        if given["density"] is None:
            fields["density_is_estimate"] = False
    if given.get("density_is_estimate") is not None:
        fields.setdefault("density_is_estimate", given["density_is_estimate"])
    return fields


def _beside(given: dict[str, Any], names: tuple[str, ...]) -> dict[str, Any]:
    return {name: given[name] for name in names if name in given} | _density(given)


PAINT_FIELDS = ("binder", "form", "maker", "maker_code", "series", "notes")
MATERIAL_FIELDS = ("name", "material_kind", "form", "cas", "maker", "maker_code", "notes")


class ItemView(StudioView):
    tag = "paints and materials"
    writes = Role.TEACHER

    def shown(self, pk: int, status: int = 200) -> Response:
        return self.answer(self.one(self.whole(), pk=pk), status=status, stock=queries.stock_of([pk]))

    def whole(self) -> Any:
        """The rows with all that one of them shows."""
        raise NotImplementedError


class PaintView(ItemView):
    serializer_class: Any = WholePaintSerializer

    def whole(self) -> Any:
        return queries.paint(self.studio)


class MaterialSerializer(ItemSerializer):
    material_kind = serializers.ChoiceField(choices=MaterialKind.choices)

    class Meta:
        model = Material
        fields = (*ITEM_FIELDS, "material_kind", "cas", "notes", "created_at")


class MaterialView(ItemView):
    serializer_class = MaterialSerializer

    def whole(self) -> Any:
        return Material.objects.filter(studio=self.studio)


class ItemList(StudioList, ItemView):
    ordering = ("sort_name", "pk")

    def beside(self, page: list[Any]) -> dict[str, Any]:
        return {"stock": queries.stock_of(item.pk for item in page)}


class Paints(ItemList, PaintView):
    """The paints of the studio, by name."""

    model = Paint
    serializer_class = PaintSerializer
    filterset_class = filters.PaintFilterSet
    input_class = PaintInput

    def rows(self) -> Any:
        return with_pigments(Paint.objects.of(self.studio).with_open_questions())

    @extend_schema(
        operation_id="paint_add",
        responses={201: WholePaintSerializer},
        examples=[OpenApiExample("a label", LABEL_EXAMPLE, request_only=True)],
    )
    def post(self, request: Request, studio: str) -> Response:
        """Add a paint from what its label says; the answer shows what was read and what is doubtful."""
        given = self.read()
        texts = LabelTexts(**{name: given[name] for name in TEXTS if name in given})
        paint = services.add_paint(self.studio, by=self.person, texts=texts, **_beside(given, PAINT_FIELDS))
        self.serializer_class = WholePaintSerializer
        return self.shown(paint.pk, status=201)


class OnePaint(PaintView):
    """One paint: its label as typed, what was read of it, its marks, its stock."""

    input_class = PaintPatch

    @extend_schema(operation_id="paint")
    def get(self, request: Request, studio: str, pk: int) -> Response:
        return self.shown(pk)

    @extend_schema(operation_id="paint_change")
    def patch(self, request: Request, studio: str, pk: int) -> Response:
        """Type its label again; texts that are left out stay, and answers that still fit are kept."""
        paint = self.one(self.whole(), pk=pk)
        given = self.read()
        texts = services.texts_of(paint)
        kept = {name: given.get(name, getattr(texts, name)) for name in TEXTS}
        services.change_paint(paint, by=self.person, texts=LabelTexts(**kept), **_beside(given, PAINT_FIELDS))
        return self.shown(pk)


class AnswerInput(Input):
    field = Choice(choices=ReadingField.choices)
    key = Text(max_length=LONGEST_LABEL + 100, trim_whitespace=False, help_text="The key of the doubt.")
    value = Text(max_length=LONGEST_LABEL, trim_whitespace=False, help_text="The value of one of its options.")


class Answer(PaintView):
    """Settle one question about a label; the typed text stays."""

    input_class = AnswerInput

    @extend_schema(operation_id="paint_answer", responses={200: WholePaintSerializer})
    def post(self, request: Request, studio: str, pk: int) -> Response:
        services.answer(self.one(Paint.objects.of(self.studio), pk=pk), **self.read(), by=self.person)
        return self.shown(pk)


class ArchivePaint(PaintView):
    """Take a paint off the lists once nothing of it is left; its ledger stays."""

    @extend_schema(operation_id="paint_archive", request=None, responses={200: WholePaintSerializer})
    def post(self, request: Request, studio: str, pk: int) -> Response:
        services.archive(self.one(Paint.objects.of(self.studio), pk=pk))
        return self.shown(pk)


class RestorePaint(PaintView):
    """Bring it back to the lists."""

    @extend_schema(operation_id="paint_restore", request=None, responses={200: WholePaintSerializer})
    def post(self, request: Request, studio: str, pk: int) -> Response:
        services.restore(self.one(Paint.objects.of(self.studio), pk=pk))
        return self.shown(pk)


class MaterialInput(Input):
    name = Text(max_length=160)
    material_kind = Choice(choices=MaterialKind.choices)
    form = Choice(choices=Form.choices, required=False, allow_blank=True, help_text=FORM_HELP)
    cas = Text(max_length=120, required=False, allow_blank=True, help_text="From the maker's sheet; ';' between.")
    maker = Text(max_length=80, required=False, allow_blank=True)
    maker_code = Text(max_length=60, required=False, allow_blank=True)
    density = DensityInput(required=False, help_text="g/ml; empty: not known.")
    density_is_estimate = Flag(required=False)
    notes = Text(required=False, allow_blank=True, max_length=10_000)


class MaterialPatch(MaterialInput):
    """What is left out stays."""

    name = Text(max_length=160, required=False)
    material_kind = Choice(choices=MaterialKind.choices, required=False)


class Materials(ItemList, MaterialView):
    """Mediums, solvents, varnishes, grounds and dry pigments, by name."""

    model = Material
    filterset_class = filters.MaterialFilterSet
    input_class = MaterialInput

    def rows(self) -> Any:
        return self.whole()

    @extend_schema(operation_id="material_add", responses={201: MaterialSerializer})
    def post(self, request: Request, studio: str) -> Response:
        """Add a medium, a solvent or another material."""
        material = services.add_material(self.studio, **_beside(self.read(), MATERIAL_FIELDS))
        return self.shown(material.pk, status=201)


class OneMaterial(MaterialView):
    """One material with its stock."""

    input_class = MaterialPatch

    @extend_schema(operation_id="material")
    def get(self, request: Request, studio: str, pk: int) -> Response:
        return self.shown(pk)

    @extend_schema(operation_id="material_change")
    def patch(self, request: Request, studio: str, pk: int) -> Response:
        """Change what is sent; the rest stays."""
        services.change_material(self.one(self.whole(), pk=pk), **_beside(self.read(), MATERIAL_FIELDS))
        return self.shown(pk)


class ArchiveMaterial(MaterialView):
    """Take a material off the lists once nothing of it is left."""

    @extend_schema(operation_id="material_archive", request=None, responses={200: MaterialSerializer})
    def post(self, request: Request, studio: str, pk: int) -> Response:
        services.archive(self.one(self.whole(), pk=pk))
        return self.shown(pk)


class RestoreMaterial(MaterialView):
    """Bring it back to the lists."""

    @extend_schema(operation_id="material_restore", request=None, responses={200: MaterialSerializer})
    def post(self, request: Request, studio: str, pk: int) -> Response:
        services.restore(self.one(self.whole(), pk=pk))
        return self.shown(pk)


class ReadPigmentSerializer(serializers.Serializer):
    code = serializers.CharField()
    as_typed = serializers.CharField(allow_blank=True)
    note = serializers.CharField(allow_blank=True)


class FieldReadingSerializer(serializers.Serializer):
    field = serializers.ChoiceField(choices=ReadingField.choices)
    text = serializers.CharField(allow_blank=True)
    read = serializers.DictField()
    doubts = DoubtSerializer(many=True)
    settled = serializers.BooleanField()


class LabelReadingSerializer(serializers.Serializer[LabelReading]):
    """What would be kept of a label. Nothing is stored."""

    pigments = ReadPigmentSerializer(source="pigments.pigments", many=True)
    pigments_known = serializers.ChoiceField(choices=PigmentsKnown.choices)
    readings = FieldReadingSerializer(many=True)
    is_settled = serializers.BooleanField(help_text="False while a question is open.")


class ReadLabel(StudioView):
    """Read a label without keeping it. It writes nothing, so a student may do it too."""

    tag = "paints and materials"
    writes = Role.STUDENT
    serializer_class = LabelReadingSerializer
    input_class = LabelInput

    @extend_schema(
        operation_id="read_label",
        responses={200: LabelReadingSerializer},
        examples=[
            OpenApiExample("a label", {"name": "Hansa Yellow", "pigments": "PW97"}, request_only=True),
        ],
    )
    def post(self, request: Request, studio: str) -> Response:
        reading, _ = services.read_texts(LabelTexts(**self.read()))
        return self.answer(reading)


class PigmentSerializer(serializers.ModelSerializer[Pigment]):
    """A reference row; what is blank or null is not established here, which is not the same as harmless."""

    names = serializers.ListField(child=serializers.CharField())
    metals = serializers.ListField(child=serializers.CharField(), source="metal_list")

    class Meta:
        model = Pigment
        fields = (
            "ci_name", "ci_full", "ci_number", "cas", "chemical_class", "chemical_description", "names", "hue_family",
            "metals", "lightfastness_astm", "lightfastness_by_binder", "opacity_typical", "tint_strength_typical",
            "density_g_cm3", "source", "confidence", "notes",
        )  # fmt: skip


class Pigments(Pages):
    """The reference table of pigments, the same for every studio."""

    model = Pigment
    tag = "pigments"
    serializer_class = PigmentSerializer
    filterset_class = filters.PigmentFilterSet
    ordering = ("pk",)

    def rows(self) -> Any:
        return Pigment.objects.all()


class OnePigment(ApiView):
    """One pigment by its Colour Index generic name, such as PB29."""

    tag = "pigments"
    serializer_class = PigmentSerializer

    @extend_schema(operation_id="pigment")
    def get(self, request: Request, code: str) -> Response:
        return Response(self.get_serializer(get_object_or_404(Pigment, ci_name__iexact=code)).data)

"""How one row names another: by its id inside the same studio, so that no other studio's rows can be named."""

from typing import Any, ClassVar

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from inventory.models import Item, ItemKind
from inventory.queries import shelf
from studio.models import Studio


class RowField(serializers.PrimaryKeyRelatedField):
    """The id of a row of the studio that the request is about."""

    what: ClassVar[str]
    wanted = "the id of one that is listed, a whole number"

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(queryset=Item.objects.none(), **kwargs)

    def get_queryset(self) -> Any:
        return self.rows(self.context["view"].studio)

    def rows(self, studio: Studio) -> Any:
        raise NotImplementedError

    def to_internal_value(self, data: Any) -> Any:
        if isinstance(data, bool) or not isinstance(data, int):
            raise serializers.ValidationError("Send an id, a whole number.")
        found = self.get_queryset().filter(pk=data).first()
        if found is None:
            raise serializers.ValidationError(f"There is no {self.what} with the id {data} in this studio.")
        return found


@extend_schema_field({"type": "integer"})
class ItemField(RowField):
    what = "paint or material"

    def rows(self, studio: Studio) -> Any:
        return Item.objects.of(studio).kept()


@extend_schema_field({"type": "integer"})
class PlaceField(RowField):
    what = "place"

    def rows(self, studio: Studio) -> Any:
        return shelf.places(studio)


@extend_schema_field({"type": "integer"})
class PersonField(RowField):
    what = "person"

    def rows(self, studio: Studio) -> Any:
        return studio.members.all()


class ItemNameSerializer(serializers.ModelSerializer[Item]):
    """A paint or a material by name."""

    kind = serializers.ChoiceField(choices=ItemKind.choices)

    class Meta:
        model = Item
        fields: tuple[str, ...] = ("id", "kind", "name")


class TubeItemSerializer(ItemNameSerializer):
    """What is in a tube."""

    binder = serializers.CharField(source="paint.binder", default=None, allow_null=True, help_text="null: no paint.")
    pigments = serializers.SerializerMethodField()

    class Meta(ItemNameSerializer.Meta):
        fields = (*ItemNameSerializer.Meta.fields, "binder", "pigments")

    @extend_schema_field(serializers.ListField(child=serializers.CharField()))
    def get_pigments(self, item: Item) -> list[str]:
        paint = getattr(item, "paint", None)
        return [line.code for line in paint.pigment_lines.all()] if paint else []

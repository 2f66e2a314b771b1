"""What lists are narrowed down to. A value that fits no filter is refused, not ignored."""

from datetime import UTC, date, datetime, time, timedelta
from functools import reduce
from operator import or_
from typing import Any

import django_filters as filters
from django import forms
from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db.models import Exists, OuterRef, Q, QuerySet
from django.utils import timezone

from inventory.labels import search_key
from inventory.models import (
    Binder,
    Entry,
    EntryKind,
    ImportRow,
    ItemKind,
    Material,
    MaterialKind,
    Measurement,
    OwnerKind,
    Paint,
    PaintPigment,
    Pigment,
    PigmentsKnown,
    RowState,
    Swatch,
    Tube,
    TubeState,
    Way,
)

YES_OR_NO = [("true", "Yes"), ("false", "No")]
EARLIEST, LATEST = date(2000, 1, 1), date(2200, 1, 1)


class NumberFilter(filters.NumberFilter):
    """A number that counts or names a row: whole and above 0."""

    field_class = forms.IntegerField

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, min_value=1, **kwargs)

    def get_max_validator(self) -> MaxValueValidator:
        return MaxValueValidator(2**63 - 1)


class DayFilter(filters.DateFilter):
    """A day, as 2026-11-25, in the time zone of the service."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        words = f"Give a day between {EARLIEST} and {LATEST}."
        limits = [MinValueValidator(EARLIEST, words), MaxValueValidator(LATEST, words)]
        super().__init__(*args, input_formats=["%Y-%m-%d"], validators=limits, **kwargs)


class SearchFilter(filters.CharFilter):
    """Every word of it, in the form in which names and codes are compared."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, max_length=100, **kwargs)

    def filter(self, rows: QuerySet[Any], value: str) -> QuerySet[Any]:
        for word in search_key(value or "").split():
            rows = rows.filter(**{f"{self.field_name}__contains": word})
        return rows


class PigmentFilter(filters.CharFilter):
    """A Colour Index generic name, such as PB29. `field_name` leads to the paint."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, max_length=16, **kwargs)

    def filter(self, rows: QuerySet[Any], value: str) -> QuerySet[Any]:
        if not value:
            return rows
        lines = PaintPigment.objects.filter(paint=OuterRef(self.field_name), code__iexact=search_key(value))
        return rows.filter(Exists(lines))


class KeptFilterSet(filters.FilterSet):
    """Lists of items show what is kept unless the archived ones are asked for."""

    archived = filters.ChoiceFilter(
        choices=YES_OR_NO, method="narrow_archived", label="Those that were archived instead of those kept (false)."
    )
    search = SearchFilter(field_name="search", label="Words of the name, the codes, the maker.")

    def __init__(self, data: Any = None, *args: Any, **kwargs: Any) -> None:
        data = data.copy() if data else {}
        data.setdefault("archived", "false")
        super().__init__(data, *args, **kwargs)

    def narrow_archived(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        return rows.filter(archived_at__isnull=value == "false")


class PaintFilterSet(KeptFilterSet):
    binder = filters.ChoiceFilter(choices=Binder.choices)
    pigment = PigmentFilter(field_name="pk", label="A Colour Index generic name, such as PB29.")
    pigments_known = filters.ChoiceFilter(choices=PigmentsKnown.choices)
    open_question = filters.ChoiceFilter(
        choices=YES_OR_NO, method="narrow_questions", label="Whether a question about the label is open."
    )

    class Meta:
        model = Paint
        fields = ("search", "binder", "pigment", "pigments_known", "open_question", "archived")

    def narrow_questions(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        return rows.filter(has_open_question=value == "true")


class MaterialFilterSet(KeptFilterSet):
    material_kind = filters.ChoiceFilter(choices=MaterialKind.choices)

    class Meta:
        model = Material
        fields = ("search", "material_kind", "archived")


class PigmentFilterSet(filters.FilterSet):
    search = filters.CharFilter(method="narrow_search", max_length=100, label="Words of the code, the names, the CAS.")
    hue_family = filters.CharFilter(max_length=12, lookup_expr="iexact")
    metal = filters.CharFilter(
        method="narrow_metal",
        validators=[RegexValidator(r"^[A-Z][a-z]?[36]?$", "Write the symbol of an element such as Cd, or Cr6.")],
        max_length=3,
        label="The symbol of an element, such as Cd; chromium as Cr3 or Cr6.",
    )

    class Meta:
        model = Pigment
        fields = ("search", "hue_family", "metal")

    def narrow_search(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        for word in search_key(value).split():
            fields = ("ci_name", "ci_full", "ci_number", "common_names", "cas")
            rows = rows.filter(reduce(or_, (Q(**{f"{field}__icontains": word}) for field in fields)))
        return rows

    def narrow_metal(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        return rows.filter(metals__regex=rf"(^|;){value}(;|$)")


class TubeFilterSet(filters.FilterSet):
    search = SearchFilter(field_name="item__search", label="Words of the name, the codes, the maker.")
    state = filters.ChoiceFilter(
        choices=[*TubeState.choices, ("in-use", "Sealed or open")], method="narrow_state", label="in-use: not empty."
    )
    place = NumberFilter(field_name="place", label="The id of a place.")
    item = NumberFilter(field_name="item", label="The id of a paint or material.")
    kind = filters.ChoiceFilter(field_name="item__kind", choices=ItemKind.choices)
    owner_kind = filters.ChoiceFilter(choices=OwnerKind.choices)
    owner = NumberFilter(field_name="owner", label="The id of the person whose own it is.")
    binder = filters.ChoiceFilter(field_name="item__paint__binder", choices=Binder.choices)
    pigment = PigmentFilter(field_name="item_id", label="A Colour Index generic name, such as PB29.")

    class Meta:
        model = Tube
        fields = ("search", "state", "place", "item", "kind", "owner_kind", "owner", "binder", "pigment")

    def narrow_state(self, rows: Any, name: str, value: str) -> QuerySet[Tube]:
        narrowed: QuerySet[Tube] = rows.in_use() if value == "in-use" else rows.filter(state=value)
        return narrowed


class EntryFilterSet(filters.FilterSet):
    kind = filters.ChoiceFilter(choices=EntryKind.choices)
    by = NumberFilter(field_name="by", label="The id of the person who did it.")
    item = NumberFilter(field_name="tube__item", label="The id of a paint or material.")
    since = DayFilter(method="from_day", label="On this day or later, such as 2026-11-25.")
    until = DayFilter(method="to_day", label="On this day or earlier.")

    class Meta:
        model = Entry
        fields = ("kind", "by", "item", "since", "until")

    def from_day(self, rows: QuerySet[Any], name: str, value: date) -> QuerySet[Any]:
        return rows.filter(at__gte=_midnight(value))

    def to_day(self, rows: QuerySet[Any], name: str, value: date) -> QuerySet[Any]:
        return rows.filter(at__lt=_midnight(value + timedelta(days=1)))


class MeasurementFilterSet(filters.FilterSet):
    paint = NumberFilter(field_name="paint", label="The id of a paint.")
    kind = filters.ChoiceFilter(choices=Swatch.choices)
    way = filters.ChoiceFilter(choices=Way.choices)
    withdrawn = filters.ChoiceFilter(
        choices=YES_OR_NO, method="narrow_withdrawn", label="Those that were withdrawn instead of those that stand."
    )

    class Meta:
        model = Measurement
        fields = ("paint", "kind", "way", "withdrawn")

    def __init__(self, data: Any = None, *args: Any, **kwargs: Any) -> None:
        data = data.copy() if data else {}
        data.setdefault("withdrawn", "false")
        super().__init__(data, *args, **kwargs)

    def narrow_withdrawn(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        return rows.filter(withdrawn_at__isnull=value == "false")


def _midnight(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, time())).astimezone(UTC)


class ImportRowFilterSet(filters.FilterSet):
    state = filters.ChoiceFilter(choices=RowState.choices)

    class Meta:
        model = ImportRow
        fields = ("state",)

"""What somebody types of a window test and of a work that may fade."""

from typing import Any

from django import forms

from inventory.forms.amounts import WholeNumberField
from inventory.forms.buying import DayField
from inventory.forms.colours import ILLUMINANTS, OBSERVERS
from inventory.models import Exposure, Paint, Tube, Work
from inventory.queries.lasting import findings_of, is_known
from studio.models import Studio


class PaintField(forms.ModelChoiceField):
    """One of the studio's own paints; another's is refused by its number."""

    def label_from_instance(self, obj: Any) -> str:
        return f"{obj.name}, {obj.get_binder_display().lower()}"


class ColourFields(forms.Form):
    text = forms.CharField(
        label="Colour",
        max_length=120,
        help_text="L*, a*, b* such as 32.1, 14.2, -41.7; Munsell such as 7.5PB 3/10; or a screen colour such as "
        "#2a3f8c, which stays rough. Measure the same spot with the same instrument each time.",
    )
    illuminant = forms.ChoiceField(
        label="Illuminant of L*, a*, b*",
        required=False,
        choices=ILLUMINANTS,
        help_text="As it stands beside the figures. Munsell notation and screen colours have their own.",
    )
    observer = forms.ChoiceField(label="Observer of L*, a*, b*", required=False, choices=OBSERVERS)


class TestForm(ColourFields):
    """A swatch goes into the window."""

    paint = PaintField(Paint.objects.none(), label="Paint", empty_label="Choose a paint")
    started_on = DayField(label="First day")
    swatch = forms.CharField(
        label="What was painted", required=False, max_length=80, help_text="Such as: masstone, tint 1:9, a thin wash."
    )
    note = forms.CharField(
        label="Note", required=False, max_length=300, help_text="Which window, and what was kept in the dark beside it."
    )

    field_order = ("paint", "swatch", "started_on", "text", "illuminant", "observer", "note")

    def __init__(self, *args: Any, studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["paint"]
        assert isinstance(field, PaintField)  # noqa: S101  # for the type checker
        field.queryset = Paint.objects.of(studio).kept().order_by("sort_name", "pk")
        field.error_messages["invalid_choice"] = "This is not one of this studio's paints: choose one from the list."


class ReadingForm(ColourFields):
    """Somebody looks at the swatch."""

    on = DayField(label="Day")
    exposure = forms.ChoiceField(
        label="How its exposure is told",
        choices=Exposure.choices,
        help_text="Hours of daylight since the first day, or the highest blue wool reference beside it that has faded.",
    )
    amount = WholeNumberField(
        label="Hours, or the number of the blue wool", max_length=20, help_text="Counted from the first day on."
    )

    field_order = ("on", "text", "illuminant", "observer", "exposure", "amount")


class EndForm(forms.Form):
    on = DayField(label="Taken out of the window on")


class WorkItems(forms.ModelMultipleChoiceField):
    """Paints with what is known of how they last beside them."""

    def label_from_instance(self, obj: Any) -> str:
        said = findings_of(obj)
        names = {"astm": "ASTM ", "blue-wool": "blue wool "}
        words = "; ".join(f"{names.get(one.scale, '')}{one.value}" for one in said)
        if not words and not is_known(obj):
            words = "not known how it lasts"
        return f"{obj.name}, {obj.get_binder_display().lower()}{f' ({words})' if words else ''}"


class WorkForm(forms.Form):
    """A painting, and what it was made with."""

    title = forms.CharField(label="Title, or how it is known", max_length=160)
    made_on = DayField(label="Made on", required=False, help_text="Leave it empty where it is not known.")
    where = forms.CharField(label="Where it is", required=False, max_length=160, help_text="A wall with sun, a drawer.")
    items = WorkItems(
        Paint.objects.none(), label="Paints that were used", widget=forms.CheckboxSelectMultiple, required=True
    )
    note = forms.CharField(label="Note", required=False, max_length=300)

    def __init__(self, *args: Any, studio: Studio, work: Work | None = None, **kwargs: Any) -> None:
        if work is not None:
            kwargs["initial"] = {name: getattr(work, name) for name in ("title", "made_on", "where", "note")}
            kwargs["initial"]["items"] = [item.pk for item in work.items.all()]
        super().__init__(*args, **kwargs)
        field = self.fields["items"]
        assert isinstance(field, WorkItems)  # noqa: S101  # for the type checker
        paints = Paint.objects.of(studio)
        offered = paints.kept().filter(pk__in=Tube.objects.of(studio).in_use().values("item_id"))
        if work is not None:
            offered = offered | paints.filter(works=work)
        chosen = self.data.getlist("items") if self.is_bound and hasattr(self.data, "getlist") else []
        # A paint that was used up since may still be named by whoever has the page open.
        numbers = [int(one) for one in chosen if one.isascii() and one.isdecimal() and len(one) < 19]
        offered = offered | paints.filter(pk__in=numbers)
        field.queryset = offered.distinct().prefetch_related("pigment_lines__pigment").order_by("sort_name", "pk")
        field.error_messages["invalid_choice"] = "%(value)s is not one of this studio's paints: choose from the list."
        field.error_messages["invalid_pk_value"] = "%(pk)s is no paint: choose from the list."

"""What somebody enters about inspections, waste, sign-offs and incidents."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.utils import timezone

from inventory.models import Item, Room
from safety.models import IncidentKind, InspectionSubject, RulesVersion, WasteContainer
from safety.queries import records as queries
from safety.queries.facts import in_full, in_stock, items
from studio.models import Studio, User


class RoomField(forms.ModelChoiceField):
    """One of the rooms that are still used; says by name which one was taken away."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("label", "Room")
        super().__init__(queryset=Room.objects.none(), required=False, empty_label="No room named", **kwargs)
        self.studio: Studio | None = None

    def offer(self, studio: Studio) -> None:
        self.studio = studio
        self.queryset = queries.rooms(studio)

    def to_python(self, value: Any) -> Any:
        if value and str(value).isdigit() and len(str(value)) < 19:
            gone = Room.objects.filter(studio=self.studio, pk=value).exclude(removed_at=None).first()
            if gone and gone.removed_at:
                when = timezone.localdate(gone.removed_at)
                raise ValidationError(
                    f"{gone} was taken away on {when.day} {when:%B %Y}: choose a room that is still used.",
                    code="removed",
                )
        return super().to_python(value)


class DayField(forms.DateField):
    """A day as the browser's date field sends it; today unless something else is said."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("initial", timezone.localdate)
        kwargs.setdefault("error_messages", {"invalid": "Write the date as 2026-03-31: year, month, day."})
        super().__init__(widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}), **kwargs)


def _text(label: str, rows: int = 3, **kwargs: Any) -> forms.CharField:
    return forms.CharField(label=label, widget=forms.Textarea(attrs={"rows": rows}), **kwargs)


class InRooms(forms.Form):
    """A form whose field `room` offers the rooms of one studio."""

    def __init__(self, *args: Any, studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        room = self.fields["room"]
        if isinstance(room, RoomField):
            room.offer(studio)


class InspectionForm(InRooms):
    """Its two buttons are the finding."""

    subject = forms.ChoiceField(label="What was looked at", choices=InspectionSubject.choices)
    room = RoomField()
    what = forms.CharField(
        label="Which one, or what else",
        required=False,
        max_length=120,
        help_text="Needed for something else; else only where there are several.",
    )
    note = forms.CharField(
        label="Note", required=False, max_length=300, help_text="What needs work, where something does."
    )
    done_on = DayField(label="Looked at on")


class MendedForm(forms.Form):
    mended_on = DayField(label="Mended on")


class WhyForm(forms.Form):
    why = forms.CharField(label="What was wrong with it", max_length=200)


class WentInField(forms.ModelMultipleChoiceField):
    """Of what stands on the shelf, and what is in the container already."""

    def __init__(self) -> None:
        super().__init__(
            Item.objects.none(),
            label="Of the shelf",
            required=False,
            widget=forms.CheckboxSelectMultiple,
            help_text="The tag then tells what the maker's sheet of each states. The full words above stay needed.",
        )

    def label_from_instance(self, obj: Any) -> str:
        return in_full(obj)


class Contents(forms.Form):
    """What is in a container: in full words, and ticked where it is of the shelf."""

    contents = forms.CharField(
        label="Contents",
        max_length=400,
        help_text="In full words, such as white spirit with oil paint. No formulas, no abbreviations.",
    )
    went_in = WentInField()

    def offer(self, studio: Studio, already: WasteContainer | None = None) -> None:
        field = self.fields["went_in"]
        assert isinstance(field, WentInField)  # noqa: S101  # for the type checker
        shown = in_stock(studio)
        if already:
            shown = items(studio).filter(Q(pk__in=already.went_in.values("pk")) | Q(pk__in=shown))
        field.queryset = shown.prefetch_related(None)


class AddedForm(Contents):
    seen = forms.CharField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, container: WasteContainer, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial = {
            "contents": container.contents,
            "went_in": container.went_in.all(),
            "seen": container.contents_mark,
        }
        self.offer(container.studio, container)


class WasteForm(InRooms, Contents):
    hazards = forms.CharField(
        label="Hazards",
        required=False,
        max_length=200,
        help_text="As the maker's sheets of what goes in have them, such as flammable. Leave it empty when not known.",
    )
    room = RoomField()
    size = forms.DecimalField(
        label="Size in litres",
        required=False,
        min_value=Decimal("0.001"),
        max_value=Decimal(10_000),
        decimal_places=3,
        help_text="Of the container, such as 5.",
    )
    opened_on = DayField(label="Opened on")
    note = forms.CharField(label="Note", required=False, max_length=300)

    def __init__(self, *args: Any, studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, studio=studio, **kwargs)
        self.offer(studio)

    def record(self) -> dict[str, Any]:
        """The cleaned values as the service takes them."""
        values = dict(self.cleaned_data)
        size = values.pop("size")
        return {**values, "size_milli": None if size is None else int(size * 1_000_000)}


class FullForm(forms.Form):
    full_on = DayField(label="Full and closed on")


class CollectedForm(forms.Form):
    collected_on = DayField(label="Collected on")
    collected_by = forms.CharField(label="Who took it away", max_length=160)
    manifest = forms.CharField(
        label="Manifest number", max_length=60, help_text="Of the manifest or consignment note that came with it."
    )


class VersionForm(forms.Form):
    title = forms.CharField(label="Title", max_length=120)
    text = _text(
        "The rules",
        16,
        max_length=20_000,
        help_text="What is signed, word for word. Once it is made, this version does not change.",
    )


class SignOffForm(forms.Form):
    number = forms.IntegerField(label="Version", min_value=1, max_value=2_147_483_647)
    signed_on = DayField(label="Signed on")
    people = forms.ModelMultipleChoiceField(
        label="People of the studio",
        queryset=User.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="Who has signed this version already is left out.",
    )
    names = _text(
        "Other names", 4, required=False, max_length=30_000, help_text="One a line, for people without an account here."
    )

    def __init__(self, *args: Any, studio: Studio, version: RulesVersion | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        people = User.objects.filter(memberships__studio=studio).order_by("first_name", "username")
        # A form that was sent may name anybody of the studio: the service says who has signed already.
        if version and not self.is_bound:
            people = people.exclude(pk__in=version.sign_offs.standing().exclude(person=None).values("person"))
        field = self.fields["people"]
        if isinstance(field, forms.ModelMultipleChoiceField):
            field.queryset = people
        if version:
            self.fields["number"].initial = version.number

    def clean_names(self) -> list[str]:
        return [line for line in self.cleaned_data["names"].splitlines() if line.strip()]


class MomentField(forms.DateTimeField):
    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("error_messages", {"invalid": "Write day and time as 2026-03-31 14:30."})
        widget = forms.DateTimeInput(format="%Y-%m-%dT%H:%M", attrs={"type": "datetime-local"})
        super().__init__(widget=widget, initial=_this_minute, **kwargs)


def _this_minute() -> datetime:
    return timezone.localtime().replace(second=0, microsecond=0)


class IncidentForm(InRooms):
    kind = forms.ChoiceField(label="What it was", choices=IncidentKind.choices, widget=forms.RadioSelect)
    happened_at = MomentField(label="When")
    room = RoomField()
    what = _text("What happened", 5, max_length=10_000, help_text="In your own words.")
    done = _text("What was done at once", 3, required=False, max_length=10_000)


class NoteForm(forms.Form):
    text = _text("Note", 3, max_length=10_000)

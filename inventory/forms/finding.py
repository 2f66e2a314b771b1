"""What is typed to keep a filter, to edit many things at once, and to look through what happened."""

from typing import Any

from django import forms

from inventory.forms.amounts import WholeNumberField
from inventory.forms.tubes import owner_choices
from inventory.models import Binder, Condition, EntryKind, Form, OwnerKind, Place
from inventory.queries.shelf import places
from studio.models import Role, Studio, User


class FilterForm(forms.Form):
    name = forms.CharField(
        label="Name",
        max_length=80,
        error_messages={"required": "Name: give the filter a name, such as Open blues."},
    )
    shared = forms.BooleanField(label="Everybody here sees it", required=False)


class HistoryFilter(forms.Form):
    kind = forms.ChoiceField(label="What", required=False, choices=[("", "Everything"), *EntryKind.choices])
    day = forms.DateField(
        label="On the day",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": "This is no day such as 2026-03-31: choose one, or leave it out."},
    )


# What can be done to many: of tubes by an entry each, of paints and materials by a change of what is kept.
TUBE_DEEDS = (("move", "Move the tubes"), ("owner", "Give the tubes to somebody"), ("condition", "Look at the tubes"))
ITEM_DEEDS = (
    ("archive", "Take the paints and materials off the lists"),
    ("binder", "Set the binder of the paints"),
    ("form", "Set as what the paints are sold"),
    ("series", "Set the series of the paints"),
    ("level", "Set the level in tubes"),
)
# The field that belongs to each, if any.
FIELD_OF = {
    "move": "place",
    "owner": "owner",
    "condition": "condition",
    "binder": "binder",
    "form": "form",
    "series": "series",
    "level": "level",
}


class ManyForm(forms.Form):
    """One deed for everything that is ticked."""

    what = forms.ChoiceField(
        label="What is to be done",
        error_messages={
            "required": "Choose what is to be done to what is ticked.",
            "invalid_choice": "That cannot be done to many at once by you: choose from the list.",
        },
    )
    place = forms.ModelChoiceField(Place.objects.none(), label="To the place", required=False, empty_label="Choose")
    owner = forms.ChoiceField(label="Whose they are from now on", required=False)
    owner_class = forms.CharField(label="Name of the class", max_length=80, required=False)
    condition = forms.ChoiceField(label="They are", required=False, choices=[("", "Choose"), *Condition.choices])
    binder = forms.ChoiceField(label="Binder", required=False, choices=[("", "Choose"), *Binder.choices])
    form = forms.ChoiceField(label="Sold as", required=False, choices=Form.choices)
    series = forms.CharField(label="Series", max_length=20, required=False, help_text="Left empty, it is taken away.")
    level = WholeNumberField(label="Level in tubes", required=False, help_text="0 takes the level away.")
    note = forms.CharField(label="Note for the entries", max_length=200, required=False)

    def __init__(self, *args: Any, studio: Studio, role: Role, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.people: dict[str, User] = {str(one.pk): one for one in studio.members.order_by("username")}
        what, place, owner = self.fields["what"], self.fields["place"], self.fields["owner"]
        assert isinstance(what, forms.ChoiceField)  # noqa: S101  # for the type checker
        assert isinstance(place, forms.ModelChoiceField)  # noqa: S101  # for the type checker
        assert isinstance(owner, forms.ChoiceField)  # noqa: S101  # for the type checker
        deeds = (*TUBE_DEEDS, *(ITEM_DEEDS if role.rank >= Role.TEACHER.rank else ()))
        # Whose a thing is, a keeper decides, one at a time or many.
        what.choices = [("", "Choose"), *(one for one in deeds if one[0] != "owner" or role == Role.KEEPER)]
        place.queryset = places(studio)
        owner.choices = [("", "Choose"), *owner_choices(self.people)]
        self._keep_what_belongs(self.chosen_deed())

    def chosen_deed(self) -> str:
        """The deed that was chosen, where this person may do it to many."""
        wanted = str(self.data.get("what") or self.initial.get("what") or "")
        return wanted if wanted in dict(self.fields["what"].choices) else ""  # type: ignore[attr-defined]  # of choices

    def _keep_what_belongs(self, what: str) -> None:
        """One deed has one field, and a note where it writes entries."""
        name = FIELD_OF.get(what, "")
        kept = {"what", name, *(("owner_class",) if name == "owner" else ())}
        kept |= {"note"} if what in dict(TUBE_DEEDS) else set()
        for other in set(self.fields) - kept:
            del self.fields[other]
        if what:
            self.fields["what"].widget = forms.HiddenInput()
        # An empty form is "as usual for its kind", an empty series is none.
        if name and name not in ("form", "series"):
            field = self.fields[name]
            field.required = True
            field.error_messages["required"] = f"{field.label}: choose it, for that is what changes."

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if "owner" in cleaned and (cleaned["owner"] == OwnerKind.CLASS) != bool(cleaned.get("owner_class")):
            self.add_error("owner_class", "Name the class and choose “A class's”, or neither.")
        if cleaned.get("condition") == Condition.OTHER and not cleaned.get("note"):
            self.add_error("note", "Note: say why they cannot be used.")
        return cleaned

    @property
    def what_chosen(self) -> str:
        return str(self.cleaned_data["what"])

    @property
    def of_items(self) -> bool:
        return self.what_chosen in dict(ITEM_DEEDS)

    def owner_fields(self) -> tuple[str, User | None, str]:
        """Kind, member and class, as a tube has them."""
        kind, _, pk = self.cleaned_data["owner"].partition("-")
        return kind, self.people[pk] if pk else None, self.cleaned_data["owner_class"]

"""What somebody types from a maker's sheet, from a label, and about a notice."""

from collections.abc import Iterable
from typing import Any, TypeAlias, cast

from django import forms
from django.forms.utils import ErrorList
from django.templatetags.static import static
from django.utils import timezone
from django.utils.html import format_html
from django.utils.safestring import SafeString

from inventory.models import Item, Room
from safety.models import SignalWord
from safety.printing.pictograms import alt_text
from safety.rules.classify import SIGNS
from safety.rules.pdf_bytes import LARGEST
from studio.models import Studio

_NONE = ErrorList()


def _signs() -> list[tuple[str, SafeString]]:
    return [
        (
            code,
            format_html(
                '<img src="{}" alt="" width="40" height="40"> {}', static(f"signs/{code.lower()}.svg"), alt_text(code)
            ),
        )
        for code in SIGNS
    ]


def _date(label: str, help_text: str, *, required: bool) -> forms.DateField:
    # Browsers send what their date field shows in this order, whatever they show.
    widget = forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})
    return forms.DateField(
        label=label,
        help_text=help_text,
        required=required,
        widget=widget,
        error_messages={"invalid": "Write the date as 2026-03-31: year, month, day."},
    )


class StatedForm(forms.Form):
    """What a sheet and a label have in common."""

    read_on = _date("Read on", "The day on which you read it.", required=True)
    signal_word = forms.ChoiceField(
        label="Signal word",
        required=False,
        choices=[("", "None printed"), *SignalWord.choices],
        widget=forms.RadioSelect,
    )
    h_codes = forms.CharField(
        label="Hazard statements",
        required=False,
        widget=forms.Textarea(attrs={"rows": 2, "autocapitalize": "characters", "spellcheck": "false"}),
        help_text="The H and EUH codes as they are printed, such as H226; H304; H372 (nervous system); EUH066.",
    )
    p_codes = forms.CharField(
        label="Precautionary statements",
        required=False,
        widget=forms.Textarea(attrs={"rows": 2, "autocapitalize": "characters", "spellcheck": "false"}),
        help_text="The P codes as they are printed, such as P210; P301 + P310; P501.",
    )
    pictograms = forms.MultipleChoiceField(
        label="Signs", required=False, choices=_signs, widget=forms.CheckboxSelectMultiple
    )
    notes = forms.CharField(label="Notes", required=False, widget=forms.Textarea(attrs={"rows": 2}))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["read_on"].initial = timezone.localdate


class SheetForm(StatedForm):
    """What a maker's sheet prints. The file stands last: what is typed before it arrives whatever the file is."""

    product = forms.CharField(
        label="Product name", max_length=200, help_text="As section 1 of the sheet has it, with the product code."
    )
    revised_on = _date("Revised on", "The sheet's own date. Leave it empty when it prints none.", required=False)
    jurisdiction = forms.CharField(
        label="Written for",
        required=False,
        max_length=60,
        help_text="The country or rules that the sheet names, such as EU, Great Britain or Australia.",
    )
    says_not_classified = forms.BooleanField(
        label="The sheet itself says that the product is not classified as hazardous",
        required=False,
        help_text="Tick it only where section 2 says so. An empty list of codes does not say it.",
    )
    printed_so = forms.BooleanField(
        label="The codes that are not known here are printed so: keep them as they are",
        required=False,
        help_text="Look at the sheet again first. They are kept apart, and the question stands beside the record.",
    )
    other_hazards = forms.CharField(
        label="Other hazards",
        required=False,
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="What section 2.3 adds without a code.",
    )
    ufi = forms.CharField(
        label="UFI", required=False, max_length=40, help_text="Unique formula identifier, such as N1QV-R02N-J00M-WQD5."
    )
    conformity = forms.CharField(
        label="Conformity words",
        required=False,
        max_length=200,
        help_text="As printed on the sheet or the label, such as: conforms to ASTM D4236.",
    )
    review_on = _date("Look again on", "The day on which somebody looks for a newer revision.", required=False)
    file = forms.FileField(
        label="The sheet itself",
        required=False,
        allow_empty_file=True,  # the reader of files says what an empty file is
        widget=forms.ClearableFileInput(attrs={"accept": "application/pdf,.pdf"}),
        help_text=f"A PDF of at most {LARGEST // 1_048_576} MB. Only the people of this studio can fetch it. After a "
        "refusal choose it again: a browser does not keep it.",
    )

    field_order = (
        "product",
        "revised_on",
        "read_on",
        "jurisdiction",
        "signal_word",
        "h_codes",
        "p_codes",
        "printed_so",
        "pictograms",
        "says_not_classified",
        "other_hazards",
        "ufi",
        "conformity",
        "review_on",
        "notes",
        "file",
    )

    def visible_fields(self) -> list[forms.BoundField]:
        """Whether codes are printed so is asked only where some are not known, or when it was answered."""
        unknown = {error.code for name in ("h_codes", "p_codes") for error in self.errors.get(name, _NONE).as_data()}
        asked = "unknown" in unknown or (self.is_bound and self["printed_so"].value())
        return [field for field in super().visible_fields() if asked or field.name != "printed_so"]


class SheetFileForm(forms.Form):
    file = forms.FileField(
        label="The sheet itself",
        allow_empty_file=True,
        widget=forms.ClearableFileInput(attrs={"accept": "application/pdf,.pdf"}),
        help_text=f"A PDF of at most {LARGEST // 1_048_576} MB. Only the people of this studio can fetch it.",
    )


class LookAgainForm(forms.Form):
    review_on = _date("Look again on", "The next day on which somebody looks. It may stay empty.", required=False)


class SheetFilter(forms.Form):
    """Narrow the list of sheets down. What is no choice shows everything."""

    place = forms.ChoiceField(label="Place", required=False)
    owner = forms.ChoiceField(label="Whose", required=False)

    def __init__(
        self, *args: Any, places: Iterable[tuple[str, str]], owners: Iterable[tuple[str, str]], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["place"].choices = [("", "Everywhere"), *places]  # type: ignore[attr-defined]  # a choice field
        self.fields["owner"].choices = [("", "Everybody's"), *owners]  # type: ignore[attr-defined]  # a choice field


class LabelForm(StatedForm):
    text = forms.CharField(
        label="The label's words",
        required=False,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="Word for word, in the label's language.",
    )

    seal = forms.CharField(
        label="Seals",
        required=False,
        max_length=80,
        help_text="The letters of each seal that is printed, such as AP or CL, with ; between. Empty: none is printed.",
    )
    conformity = forms.CharField(
        label="Conformity words",
        required=False,
        max_length=200,
        help_text="As printed, such as: conforms to ASTM D4236.",
    )

    field_order = (
        "text",
        "read_on",
        "signal_word",
        "h_codes",
        "p_codes",
        "pictograms",
        "seal",
        "conformity",
        "notes",
    )


# As the type checker knows them; at run time they take no subscript.
RoomChoice: TypeAlias = "forms.ModelChoiceField[Room]"
ItemChoice: TypeAlias = "forms.ModelChoiceField[Item]"


class HangForm(forms.Form):
    room = forms.ModelChoiceField(
        Room.objects.none(), label="Room", required=False, empty_label="Not in a room that is listed"
    )
    where = forms.CharField(
        label="Where it hangs",
        required=False,
        max_length=120,
        help_text="Such as: above the sink, door of the solvent cabinet. With a room it may stay empty.",
    )
    # The mark on the paper that was printed: what is hung must be what is kept.
    fingerprint = forms.CharField(required=False, max_length=14, widget=forms.HiddenInput)

    def __init__(self, *args: Any, studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        cast(RoomChoice, self.fields["room"]).queryset = Room.objects.filter(studio=studio, removed_at=None)


class JarForm(forms.Form):
    """What a label for a jar is of; sent by GET, so that the label can be printed again from its address."""

    item = forms.ModelChoiceField(
        Item.objects.none(),
        label="Poured from",
        required=False,
        empty_label="Something that is not on the list, or nobody knows",
    )
    name = forms.CharField(
        label="Name on the label", required=False, max_length=120, help_text="Empty: the name of the paint or material."
    )
    whose = forms.CharField(label="Whose it is", required=False, max_length=80)
    filled_on = _date("Filled on", "The day on which the jar was filled.", required=False)

    def __init__(self, *args: Any, studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        kept = Item.objects.of(studio).kept().order_by("sort_name", "pk")
        cast(ItemChoice, self.fields["item"]).queryset = kept


class WithdrawForm(forms.Form):
    why = forms.CharField(label="What was wrong with it", max_length=200)

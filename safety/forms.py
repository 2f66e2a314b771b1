"""What somebody types from a maker's sheet, from a label, and about a notice."""

from typing import Any

from django import forms
from django.templatetags.static import static
from django.utils import timezone
from django.utils.html import format_html
from django.utils.safestring import SafeString

from safety.models import SignalWord
from safety.printing.pictograms import alt_text
from safety.rules.classify import SIGNS


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

    field_order = (
        "product",
        "revised_on",
        "read_on",
        "jurisdiction",
        "signal_word",
        "h_codes",
        "p_codes",
        "pictograms",
        "says_not_classified",
        "notes",
    )


class LabelForm(StatedForm):
    text = forms.CharField(
        label="The label's words",
        required=False,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="Word for word, in the label's language.",
    )

    field_order = ("text", "read_on", "signal_word", "h_codes", "p_codes", "pictograms", "notes")


class HangForm(forms.Form):
    where = forms.CharField(
        label="Where it hangs", max_length=120, help_text="Such as: above the sink, door of the solvent cabinet."
    )


class WithdrawForm(forms.Form):
    why = forms.CharField(label="What was wrong with it", max_length=200)

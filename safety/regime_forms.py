"""What somebody asks of a label, of limits and of regimes, and what a house sets of its handling levels."""

import re
from decimal import Decimal, InvalidOperation
from typing import Any, cast

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from inventory.models import Item
from safety.models import Reach
from safety.queries.reference import phrasebook, published
from safety.rules.label_check import Ingredient
from safety.rules.levels import SETTABLE
from safety.rules.typed_codes import TypedCodesError, read_codes
from safety.services.house import FORMS, LEVEL_REACHES
from studio.models import Studio

_INGREDIENT = re.compile(r"(?P<name>\S+?)(?:[\s:]+(?P<share>\d+(?:[.,]\d+)?)\s*%?)?")
_CAS = re.compile(r"\d{2,7}-\d{2}-\d")
_COLOUR_INDEX = re.compile(r"(?i)([PN](?:W|Y|O|R|V|B|G|Br|Bk))(\d+(?::\d)?)")
PUBLIC, WORK = "public", "work"


class SearchForm(forms.Form):
    q = forms.CharField(label="Search", required=False, max_length=100)


class LabelCheckForm(forms.Form):
    """Codes as a sheet prints them, with what else bears on its label."""

    keeps_nothing = True  # so a field that is wrong is not told as "not saved"

    codes = forms.CharField(
        label="Codes",
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3, "autocapitalize": "characters", "spellcheck": "false"}),
        help_text="H, EUH and P codes as section 2 of the sheet prints them, such as H226; H304; H317; EUH066; P210.",
    )
    sensitisers = forms.CharField(
        label="Sensitiser named",
        required=False,
        max_length=200,
        help_text="The name that stands with EUH208, as the sheet writes it. Several with “;” between.",
    )
    size = forms.DecimalField(
        label="Size of the package",
        required=False,
        min_value=Decimal("0.001"),
        max_value=Decimal(1_000_000),
        max_digits=10,
        decimal_places=3,
        help_text="A small package may print less.",
        error_messages={"invalid": "Enter the size as a number, such as 37 or 2.5."},
    )
    unit = forms.ChoiceField(label="Unit", required=False, choices=[("ml", "ml"), ("g", "g")])
    sold_to = forms.ChoiceField(
        label="Sold to",
        required=False,
        choices=[(PUBLIC, "everybody, as in a shop"), (WORK, "workplaces alone")],
    )
    ingredients = forms.CharField(
        label="What is in it",
        required=False,
        max_length=600,
        widget=forms.Textarea(attrs={"rows": 2, "autocapitalize": "off", "spellcheck": "false"}),
        help_text="Pigment codes or CAS numbers, with the share by weight where it is known: PY37 35 %; 2634-33-5.",
    )

    def clean_codes(self) -> tuple[str, ...]:
        try:
            read = read_codes(self.cleaned_data["codes"], phrasebook(), ("H", "EUH", "P"))
        except TypedCodesError as error:
            raise ValidationError([ValidationError(one, code="codes") for one in error.problems]) from None
        if not read:
            raise ValidationError("No code was found. Type the codes, such as H317; EUH208.", code="codes")
        return read

    def clean_sensitisers(self) -> tuple[str, ...]:
        return tuple(" ".join(one.split()) for one in self.cleaned_data["sensitisers"].split(";") if one.strip())

    def clean_ingredients(self) -> tuple[Ingredient, ...]:
        parts = [" ".join(one.split()) for one in re.split(r"[;\n]", self.cleaned_data["ingredients"]) if one.strip()]
        if not parts:
            return ()
        known, found, problems = published(), [], []
        for part in parts:
            name, share, problem = _read_ingredient(part)
            if problem:
                problems.append(ValidationError(problem, code="ingredients"))
                continue
            rows = known.of_cas([name]) if _CAS.fullmatch(name) else known.of_pigment(name)
            found.append(Ingredient(name, share, rows))
        if problems:
            raise ValidationError(problems)
        return tuple(found)


def _read_ingredient(part: str) -> tuple[str, Decimal | None, str]:
    """The name, the share and what is wrong with it."""
    match = _INGREDIENT.fullmatch(part)
    name = match["name"] if match else part
    colour_index = _COLOUR_INDEX.fullmatch(name)
    if colour_index:
        letters = colour_index[1]
        name = letters[0].upper() + letters[1:].capitalize() + colour_index[2]
    elif not _CAS.fullmatch(name):
        told = f"“{part[:60]}” is not a pigment code or a CAS number, with a share after it: PY37 35 %, or 2634-33-5."
        return name, None, told
    if not match or not match["share"]:
        return name, None, ""
    try:
        share = Decimal(match["share"].replace(",", "."))
    except InvalidOperation:
        return name, None, f"“{match['share']}” is not a number."
    if not 0 < share <= 100:
        return name, None, f"{share} % of {name} cannot be: enter a share above 0 and at most 100."
    return name, share, ""


class LevelRuleForm(forms.Form):
    """The level that this house gives to something, and on whose word."""

    reach = forms.ChoiceField(
        label="What it goes by", choices=[(one.value, one.label) for one in LEVEL_REACHES], widget=forms.RadioSelect
    )
    values = forms.CharField(
        label="Which",
        required=False,
        max_length=400,
        help_text="For a statement, a metal, a pigment or a seal: H317; H334, or lead, or PR108, or CL.",
    )
    forms_named = forms.MultipleChoiceField(
        label="Which forms",
        required=False,
        choices=[(one, one) for one in FORMS],
        widget=forms.CheckboxSelectMultiple,
        help_text="For a form or a kind of material.",
    )
    item = forms.ModelChoiceField(
        label="Which paint or material",
        required=False,
        queryset=Item.objects.none(),
        empty_label="None",
        help_text="For one paint or material.",
        error_messages={"invalid_choice": "That is not on this studio's list: choose a paint or a material of it."},
    )
    level = forms.ChoiceField(
        label="Level", choices=[(one.word, f"{one.word}: {one.does}") for one in SETTABLE], widget=forms.RadioSelect
    )
    text = forms.CharField(
        label="In this house's words",
        required=False,
        max_length=400,
        help_text="As it is printed. Empty: what it goes by, and the level.",
    )
    on_whose_word = forms.CharField(
        label="On whose word", max_length=160, help_text="Such as: the safety office, letter of 2 March."
    )
    set_on = forms.DateField(
        label="Decided on",
        initial=timezone.localdate,
        widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}),
        error_messages={"invalid": "Write the date as 2026-03-31: year, month, day."},
    )

    def __init__(self, studio: Studio, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        item = cast("forms.ModelChoiceField[Item]", self.fields["item"])
        item.queryset = Item.objects.of(studio).kept().order_by("sort_name", "pk")

    @property
    def given(self) -> dict[str, Any]:
        """What the service takes."""
        cleaned = dict(self.cleaned_data)
        named, item = cleaned.pop("forms_named"), cleaned.pop("item")
        if cleaned["reach"] == Reach.FORM:
            cleaned["values"] = named
        elif cleaned["reach"] == Reach.ITEM:
            cleaned["values"] = [str(item.pk)] if item else []
        return cleaned

    def take_errors(self, error: ValidationError) -> None:
        """Show what the service refused at the field that somebody filled in."""
        at = {Reach.FORM: "forms_named", Reach.ITEM: "item"}.get(Reach(self.cleaned_data["reach"]), "values")
        for name, errors in error.error_dict.items():
            self.add_error(at if name == "values" else name if name in self.fields else None, errors)

"""What somebody types about a paint or a material."""

from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from inventory.labels import LONGEST_LABEL
from inventory.labels.numbers import read_decimal
from inventory.models import Binder, Form, LightfastnessScale, Material, MaterialKind, Paint
from inventory.reading import LabelTexts
from inventory.services.paints import texts_of


def density_milli(text: str) -> int | None:
    """Thousandths of g/ml from what was typed, such as 1,35; ValidationError names what is wrong."""
    if not text.strip():
        return None
    # A density has one decimal sign and no thousands, whichever sign it is.
    read = read_decimal(text, decimal_comma="," in text)
    if read.value is None:
        raise ValidationError(read.doubts[0].message if read.doubts else f"“{text}” is not a number such as 1.35.")
    if not Decimal("0.5") <= read.value <= Decimal(8):
        raise ValidationError(f"{read.value} g/ml is outside 0.5 to 8, where paints and mediums lie: check the figure.")
    milli = read.value * 1000
    if milli != milli.to_integral_value():
        raise ValidationError(f"{read.value} has more than three decimals: round it to thousandths of g/ml.")
    return int(milli)


class DensityMixin(forms.Form):
    density = forms.CharField(
        label="Density in g/ml",
        required=False,
        help_text="Turns a weighing into millilitres. Without it grams stay grams.",
        widget=forms.TextInput(attrs={"inputmode": "decimal"}),
    )
    density_is_estimate = forms.BooleanField(label="This density is an estimate", required=False)

    def clean_density(self) -> int | None:
        return density_milli(self.cleaned_data["density"])

    def density_fields(self) -> dict[str, Any]:
        milli = self.cleaned_data["density"]
        return {"density_milli": milli, "density_is_estimate": bool(milli and self.cleaned_data["density_is_estimate"])}


class PaintFilter(forms.Form):
    """Narrow the list of paints down. A value that cannot be searched for, or is no choice, shows everything."""

    search = forms.CharField(max_length=100, required=False)
    binder = forms.ChoiceField(choices=[("", "All"), *Binder.choices], required=False)

    def chosen(self) -> dict[str, str]:
        self.is_valid()
        return {name: self.cleaned_data.get(name, "") for name in self.fields}


def _label_text(label: str, help_text: str) -> forms.CharField:
    # Typed text stays as typed: no trimming.
    return forms.CharField(label=label, required=False, strip=False, max_length=LONGEST_LABEL, help_text=help_text)


class PaintForm(DensityMixin):
    name = forms.CharField(label="Name", max_length=160, help_text="As the label has it, in any script.")
    binder = forms.ChoiceField(
        label="Binder",
        choices=Binder.choices,
        initial=Binder.UNKNOWN,
        help_text="Paints of different binders are never mixed with one another here.",
    )
    form = forms.ChoiceField(
        label="Sold as",
        required=False,
        choices=Form.choices,
        help_text="A powder, a stick or a spray of the same pigment is another exposure and has cautions of its own.",
    )
    pigments = _label_text(
        "Pigments", "The codes on the tube in its order, such as PG7, PY150. Leave it empty when the tube does not say."
    )
    lightfastness = _label_text(
        "Lightfastness", "The mark on the tube with its scale, such as ASTM I or blue wool 7-8."
    )
    lightfastness_scale = forms.ChoiceField(
        label="The scale of that mark",
        required=False,
        choices=[("", "As the mark says"), *((scale, scale.label) for scale in list(LightfastnessScale)[:3])],
        help_text="A bare 1 is the best mark of ASTM and the worst of blue wool.",
    )
    opacity = _label_text("Opacity", "Transparent, semi-transparent, semi-opaque, opaque, or the sign on the tube.")
    strength = _label_text("Tinting strength", "A word, or a figure with its scale such as 4 of 5.")
    maker = forms.CharField(label="Maker", required=False, max_length=80)
    maker_code = forms.CharField(label="Maker's code", required=False, max_length=60)
    series = forms.CharField(label="Series", required=False, max_length=20, help_text="The maker's price group.")
    notes = forms.CharField(label="Notes", required=False, widget=forms.Textarea(attrs={"rows": 3}))

    field_order = (
        "name",
        "binder",
        "form",
        "pigments",
        "lightfastness",
        "lightfastness_scale",
        "opacity",
        "strength",
        "maker",
        "maker_code",
        "series",
        "density",
        "density_is_estimate",
        "notes",
    )

    @classmethod
    def initial_of(cls, paint: Paint) -> dict[str, Any]:
        texts = texts_of(paint)
        return {
            "name": paint.name,
            "binder": paint.binder,
            "form": paint.form,
            "pigments": texts.pigments,
            "lightfastness": texts.lightfastness,
            "lightfastness_scale": texts.lightfastness_scale,
            "opacity": texts.opacity,
            "strength": texts.strength,
            "maker": paint.maker,
            "maker_code": paint.maker_code,
            "series": paint.series,
            "density": f"{paint.density_milli / 1000:g}" if paint.density_milli else "",
            "density_is_estimate": paint.density_is_estimate,
            "notes": paint.notes,
        }

    def texts(self) -> LabelTexts:
        names = ("name", "pigments", "lightfastness", "opacity", "strength", "lightfastness_scale")
        return LabelTexts(**{name: self.cleaned_data[name] for name in names})

    def fields_beside(self) -> dict[str, Any]:
        names = ("binder", "form", "maker", "maker_code", "series", "notes")
        return {name: self.cleaned_data[name] for name in names} | self.density_fields()


class MaterialForm(DensityMixin):
    name = forms.CharField(label="Name", max_length=160, help_text="As the label has it.")
    material_kind = forms.ChoiceField(label="Kind", choices=MaterialKind.choices)
    form = forms.ChoiceField(
        label="Sold as",
        required=False,
        choices=Form.choices,
        help_text="A powder, a stick or a spray of the same pigment is another exposure and has cautions of its own.",
    )
    cas = forms.CharField(
        label="CAS numbers",
        required=False,
        max_length=120,
        help_text="From section 3 of the maker's safety data sheet, separated by semicolons.",
    )
    maker = forms.CharField(label="Maker", required=False, max_length=80)
    maker_code = forms.CharField(label="Maker's code", required=False, max_length=60)
    notes = forms.CharField(label="Notes", required=False, widget=forms.Textarea(attrs={"rows": 3}))

    field_order = (
        "name",
        "material_kind",
        "form",
        "cas",
        "maker",
        "maker_code",
        "density",
        "density_is_estimate",
        "notes",
    )

    @classmethod
    def initial_of(cls, material: Material) -> dict[str, Any]:
        names = ("name", "material_kind", "form", "cas", "maker", "maker_code", "notes", "density_is_estimate")
        density = f"{material.density_milli / 1000:g}" if material.density_milli else ""
        return {name: getattr(material, name) for name in names} | {"density": density}

    def fields_typed(self) -> dict[str, Any]:
        names = ("name", "material_kind", "form", "cas", "maker", "maker_code", "notes")
        return {name: self.cleaned_data[name] for name in names} | self.density_fields()

"""What somebody gives of a paint's colour: a notation, a spectrum file, or a photo of the swatch card."""

import binascii
import re
from base64 import b64decode, b64encode
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile

from inventory.colour.samples import MAY_STAND
from inventory.labels.doubts import shown
from inventory.measuring import photo, raw_spectra
from inventory.measuring.card import COLOURS, GREYS
from inventory.measuring.colours import Notation, read_colour
from inventory.measuring.viewing import Illuminant, Observer
from inventory.models import Paint, SpecularMode, Swatch
from inventory.services.colours import FIELDS, Beside

ASKED = "Choose"
# A browser gives a file once. One of up to so many bytes goes along with the form, so that a question may be answered.
_MOST_KEPT = 400_000
# Fields that answer a question, shown once it is asked.
_QUESTIONS = ("confirmed", "exchange")
ILLUMINANTS = [
    ("", ASKED),
    *((one.value, "Not known" if one is Illuminant.UNKNOWN else one.value) for one in Illuminant),
]
OBSERVERS = [
    ("", ASKED),
    (Observer.TWO.value, "2 degrees"),
    (Observer.TEN.value, "10 degrees"),
    (Observer.UNKNOWN.value, "Not known"),
]
CORNERS = (
    ("corner_1", "Upper left corner"),
    ("corner_2", "Upper right corner"),
    ("corner_3", "Lower right corner"),
    ("corner_4", "Lower left corner"),
)


class WhiteField(forms.ModelChoiceField):
    """The white of a tint, one of the studio's own."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(
            Paint.objects.none(),
            label="White of a tint",
            required=False,
            empty_label="Not one of these: a typical titanium white is assumed",
            help_text="The paint that was mixed in. Its own masstone makes every tint better.",
            **kwargs,
        )

    def label_from_instance(self, obj: Any) -> str:
        return f"{obj.name}, {obj.get_binder_display().lower()}"


def film_field() -> forms.CharField:
    return forms.CharField(
        label="Wet film thickness in µm",
        required=False,
        max_length=20,
        help_text="For a drawdown: the gap of the bar or the reading of a wet-film gauge, always the same of the two. "
        "By itself it tells how many times one film is as thick as another. What that is in scattering is known once "
        "a titanium white of the same binder was drawn down over black and its µm were given.",
    )


class BesideForm(forms.Form):
    """What every way of giving a colour shares. Two fields appear only where a question is asked."""

    prefix_of: str
    # What is asked where it is not said: optional until then.
    asked: tuple[str, ...] = ()

    kind = forms.ChoiceField(label="Swatch", choices=Swatch.choices)
    white = WhiteField()
    film_white = forms.CharField(
        label="L* of titanium white in the same film over black",
        required=False,
        max_length=20,
        help_text="For a drawdown: draw the white down with the same bar and measure it over black. "
        "It tells how thick the film is. Without it, and without µm that a white was measured at, the drawdown is kept "
        "and not reckoned with.",
    )
    film_um = film_field()
    note = forms.CharField(label="Note", required=False, max_length=300, help_text="Who measured it, and with what.")
    confirmed = forms.BooleanField(label="It is right as it stands", required=False)
    exchange = forms.BooleanField(label="They were exchanged: keep each as the other", required=False)

    def __init__(self, data: Any = None, files: Any = None, *, whites: Any, white: Paint | None = None) -> None:
        initial = {"white": white.pk if white else None}
        super().__init__(data, files, auto_id=f"id_{self.prefix_of}_%s", initial=initial)
        field = self.fields["white"]
        assert isinstance(field, WhiteField)  # noqa: S101  # for the type checker
        field.queryset = whites

    def ask_again(self) -> None:
        """Called where the form is shown again with what is wrong or asked."""
        for name in self.errors.keys() & set(self.asked):
            self.fields[name].required = True

    def beside(self) -> Beside:
        data = self.cleaned_data
        # The masstone and drawdowns have no white in them, whatever the list of whites shows.
        kind = Swatch(data["kind"])
        return Beside(
            kind=kind,
            white=data["white"] if kind.is_tint else None,
            film_white=data["film_white"] if kind.is_film else "",
            film_um=data["film_um"] if kind.is_film else "",
            note=data["note"],
            confirmed=[kind.value for kind in MAY_STAND] if data["confirmed"] else [],
            exchange=data["exchange"],
        )

    def visible_now(self) -> list[forms.BoundField]:
        """The fields to show: what answers a question only once it is asked, and then first."""
        asked = [name for name in _QUESTIONS if name in self.errors or (self.is_bound and self.data.get(name))]
        return [*map(self.__getitem__, asked), *(one for one in self.visible_fields() if one.name not in _QUESTIONS)]


class ColourForm(BesideForm):
    prefix_of = "colour"
    asked = ("illuminant", "observer", "notation")

    text = forms.CharField(
        label="Colour",
        max_length=120,
        help_text="L*, a*, b* such as 32.1, 14.2, -41.7; Munsell such as 7.5PB 3/10; or a screen colour such as "
        "#2a3f8c, which stays rough.",
    )
    notation = forms.ChoiceField(
        label="Notation",
        required=False,
        choices=[("", "As it is written"), *((one.value, one.value) for one in Notation)],
    )
    illuminant = forms.ChoiceField(
        label="Illuminant of L*, a*, b*",
        required=False,
        choices=ILLUMINANTS,
        help_text="As it stands beside the figures. Munsell notation and screen colours have their own.",
    )
    observer = forms.ChoiceField(label="Observer of L*, a*, b*", required=False, choices=OBSERVERS)

    field_order = ("kind", "text", "illuminant", "observer", "notation", "white", "film_white", "film_um", "note")

    def given(self) -> dict[str, Any]:
        names = ("text", "notation", "illuminant", "observer")
        return {name: self.cleaned_data[name] for name in names} | {"beside": self.beside()}


class SpectrumForm(BesideForm):
    prefix_of = "spectrum"
    asked = ("sample", "specular", "geometry", "backing", "illuminant", "scale")

    kept = forms.CharField(required=False, widget=forms.HiddenInput)
    kept_name = forms.CharField(required=False, max_length=200, widget=forms.HiddenInput)
    file = forms.FileField(
        label="Spectrum file",
        allow_empty_file=True,  # the reader says what an empty file is
        help_text="CSV, CGATS text or CxF3, 400 to 700 nm, of one sample or several.",
    )
    sample = forms.CharField(
        label="Sample", required=False, max_length=120, help_text="Its name, where the file has several."
    )
    specular = forms.ChoiceField(
        label="Mirror reflection (specular component)",
        required=False,
        choices=[("", "As the file says"), *SpecularMode.choices],
    )
    geometry = forms.ChoiceField(
        label="Geometry",
        required=False,
        choices=[
            ("", "As the file says"),
            ("45:0", "Lit at 45°, seen at 0°"),
            ("0:45", "Lit at 0°, seen at 45°"),
            ("d:8", "Sphere"),
            ("unknown", "Not known"),
        ],
    )
    backing = forms.ChoiceField(
        label="Under the paint",
        required=False,
        choices=[
            ("", "As the file says"),
            ("hidden", "It does not show through"),
            ("white", "White"),
            ("black", "Black"),
            ("unknown", "Not known"),
        ],
    )
    illuminant = forms.ChoiceField(
        label="Light of the instrument",
        required=False,
        choices=[
            ("", "As the file says"),
            ("A", "Tungsten (A)"),
            ("D50", "D50"),
            ("D65", "D65"),
            ("LED", "White LED"),
            ("unknown", "Not known"),
        ],
    )
    scale = forms.ChoiceField(
        label="Values",
        required=False,
        choices=[("", "As the file says"), ("percent", "Percent"), ("fraction", "Fractions of 1")],
    )

    field_order = (
        "kind",
        "file",
        "sample",
        "specular",
        "geometry",
        "backing",
        "illuminant",
        "scale",
        "white",
        "film_white",
        "film_um",
        "note",
    )

    def __init__(self, data: Any = None, files: Any = None, **kwargs: Any) -> None:
        super().__init__(data, _with_kept(data, files), **kwargs)

    def clean_file(self) -> Any:
        return _not_too_large(self.cleaned_data["file"], raw_spectra.MOST_BYTES)

    def ask_again(self) -> None:
        """Let the file go along with the questions; called where the form is shown again."""
        super().ask_again()
        file = self.files.get("file")
        if file is None:
            return
        name = file.name or "spectrum"
        if (file.size or 0) > _MOST_KEPT:
            self["file"].help_text = f"Choose {shown(name)} again; a browser gives a file once."
            return
        file.seek(0)
        kept = {"kept": b64encode(file.read()).decode("ascii"), "kept_name": name}
        self.data = {name: self.data[name] for name in self.data} | kept
        self["file"].help_text = f"{shown(name)} is still here. Choose a file only to take another."

    def given(self) -> dict[str, Any]:
        file = self.cleaned_data["file"]
        file.seek(0)
        chosen = {name: self.cleaned_data[name] for name in self.asked if name != "sample"}
        return {
            "data": file.read(),
            "file_name": file.name,
            "sample": self.cleaned_data["sample"],
            "chosen": chosen,
            "beside": self.beside(),
        }


class PhotoForm(forms.Form):
    """A photo of the printed card; corners and known patches are typed, or tapped where scripts run."""

    file = forms.FileField(
        label="Photo of the swatch card",
        allow_empty_file=True,
        help_text="JPEG, PNG or WebP, without filter or night mode.",
        widget=forms.ClearableFileInput(attrs={"accept": "image/jpeg,image/png,image/webp"}),
    )
    fields_painted = forms.MultipleChoiceField(
        label="Painted fields",
        choices=[(name, name) for name in FIELDS],
        widget=forms.CheckboxSelectMultiple,
        initial=["Masstone", "Tint 1:9"],
    )
    white = WhiteField()
    film_um = film_field()
    note = forms.CharField(label="Note", required=False, max_length=300)

    def __init__(self, data: Any = None, files: Any = None, *, whites: Any, white: Paint | None = None) -> None:
        super().__init__(data, files, auto_id="id_photo_%s", initial={"white": white.pk if white else None})
        field = self.fields["white"]
        assert isinstance(field, WhiteField)  # noqa: S101  # for the type checker
        field.queryset = whites
        for name, label in CORNERS:
            help_text = "Across and down as fractions of the photo, such as 0.08, 0.11." if name == "corner_1" else ""
            self.fields[name] = forms.CharField(label=label, max_length=40, help_text=help_text)
        for place, name in enumerate((*GREYS, *COLOURS)):
            self.fields[f"patch_{place}"] = forms.CharField(
                label=f"{name}: its L*, a*, b*",
                required=False,
                max_length=60,
                help_text="For D65 and 10 degrees; empty where no patch is stuck on." if place == 0 else "",
            )

    def visible_now(self) -> list[forms.BoundField]:
        return list(self.visible_fields())

    def clean_file(self) -> Any:
        return _not_too_large(self.cleaned_data["file"], photo.MOST_BYTES)

    def ask_again(self) -> None:
        """Say that the photo, too large to go along, must be chosen again; called where the form is shown again."""
        if file := self.files.get("file"):
            again = f"Choose {shown(file.name or 'the photo')} again, or a better one; a browser gives a file once."
            self["file"].help_text = f"{again} All else that you entered is still here."

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        for name, _ in CORNERS:
            if name in data:
                self._take(name, _corner)
        for place in range(len(GREYS) + len(COLOURS)):
            if data.get(f"patch_{place}", "").strip():
                self._take(f"patch_{place}", _patch)
        return data

    def _take(self, name: str, read: Any) -> None:
        try:
            self.cleaned_data[name] = read(self.cleaned_data[name])
        except ValidationError as error:
            self.add_error(name, error)

    def given(self) -> dict[str, Any]:
        data = self.cleaned_data
        places = enumerate((*GREYS, *COLOURS))
        return {
            "data": data["file"].read(),
            "file_name": data["file"].name,
            "corners": tuple(data[name] for name, _ in CORNERS),
            "references": {name: data[f"patch_{place}"] for place, name in places if data[f"patch_{place}"]},
            "fields": data["fields_painted"],
            "white": data["white"],
            "film_um": data["film_um"],
            "note": data["note"],
        }


def _with_kept(data: Any, files: Any) -> Any:
    """The files of a form, with the one that went along with its questions where no other was chosen."""
    if not data or not data.get("kept") or (files and files.get("file")):
        return files
    try:
        content = b64decode(data["kept"], validate=True)
    except (binascii.Error, ValueError):
        return files
    return {"file": ContentFile(content, name=data.get("kept_name") or "spectrum")}


def _corner(text: str) -> tuple[float, float]:
    found = re.fullmatch(r"\s*([01]?[.]\d+|[01])\s*[,; ]\s*([01]?[.]\d+|[01])\s*", text)
    if not found or max(float(found[1]), float(found[2])) > 1.0:
        raise ValidationError(f"{shown(text)} is no corner: write two fractions from 0 to 1, such as 0.08, 0.11.")
    return float(found[1]), float(found[2])


def _patch(text: str) -> tuple[float, float, float]:
    read = read_colour(text, notation=Notation.CIELAB, illuminant=Illuminant.D65, observer=Observer.TEN)
    if read.lab is None:
        raise ValidationError([doubt.message for doubt in read.doubts])
    return read.lab


def _not_too_large(file: Any, most: int) -> Any:
    if file.size > most:
        raise ValidationError(
            f"{file.name} has {file.size / 1e6:.1f} MB, more than the {most / 1e6:.0f} MB that are read. "
            "Save it smaller."
        )
    return file

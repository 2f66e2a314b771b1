"""What is asked of a room's air: a form sent by address, so that the answer can be shared and works without script."""

import math
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict

from inventory.labels.doubts import shown
from inventory.models import Material, Room
from safety.queries.air import materials, rooms, solvent_of, solvents
from safety.rules.air_check import Liquid, Question, Span
from safety.rules.ventilation import ATMOSPHERE_KPA, liquid_mass_mg, mg_m3, molar_volume_l_mol
from studio.models import Studio

TYPED = "as typed"
COLDEST, WARMEST = -10.0, 45.0


class FigureField(forms.CharField):
    """A number with a range; a decimal comma is read as one."""

    def __init__(self, label: str, unit: str, *, low: float, high: float, above: bool = False, **more: Any) -> None:
        self.low, self.high, self.above = low, high, above
        # In full: 1e+06 is no figure that a painter types.
        least, most = (f"{limit:.15g}" for limit in (low, high))
        bounds = f"above {least} and at most {most}" if above else f"{least} to {most}"
        self.remedy = more.pop("remedy", "") or f"Enter {bounds}{f' {unit}' if unit else ''}."
        widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
        super().__init__(label=label, max_length=20, widget=widget, **more)

    def clean(self, value: Any) -> float | None:
        text = super().clean(value)
        if not text:
            return None
        try:
            number = float(text.replace(",", "."))
        except ValueError:
            number = math.nan
        if not math.isfinite(number):
            raise ValidationError(f"{self.label}: {shown(text)} is no number. {self.remedy}", code="number")
        if not self.low <= number <= self.high or (self.above and number == self.low):
            raise ValidationError(f"{self.label}: {shown(text)} is out of range. {self.remedy}", code="range")
        return number


class OwnChoice(forms.ModelChoiceField):
    """A row of this studio; another's is told as one that is not there."""

    def __init__(self, label: str, empty: str, what: str, help_text: str) -> None:
        message = f"{label}: “%(value)s” is no {what} of this studio. Choose one of the list."
        super().__init__(
            None,
            label=label,
            empty_label=empty,
            required=False,
            help_text=help_text,
            error_messages={"invalid_choice": message},
        )

    def to_python(self, value: Any) -> Any:
        try:
            return super().to_python(value)
        except ValidationError as error:
            raise ValidationError(error.messages[0] % {"value": value}, code="invalid_choice") from None


def _solvent_choices() -> list[tuple[str, str]]:
    return [("", "As its CAS number says, or as typed below"), *((one.key, one.liquid.name) for one in solvents())]


class AirForm(forms.Form):
    """Room, solvent, amount, time; what the studio has not written down is asked for, never made up."""

    keeps_nothing = True  # so a field that is wrong is not told as "not saved"

    room = OwnChoice(
        "Room", "None: I type its figures", "room", "Its volume and fresh air, where they are written down."
    )
    volume = FigureField(
        "Volume",
        "m³",
        low=0,
        high=100_000,
        above=True,
        required=False,
        help_text="Cubic metres: length by width by height. Empty: as the room's page has it.",
    )
    fresh_air = FigureField(
        "Fresh air",
        "m³/h",
        low=0,
        high=1_000_000,
        required=False,
        help_text="Cubic metres an hour from outside; 0 with everything shut. Empty: as the room's page has it.",
    )
    mixing = FigureField(
        "Mixing factor K",
        "",
        low=1,
        high=10,
        required=False,
        remedy="This page takes K, 1 to 10. A text that prints k, 1 or less, means the reverse: K is 1/k, so for "
        "k = 0.5 enter 2.",
        help_text="1 for air that mixes ideally, which no room does; up to 10 where it stands in corners. Some texts "
        "print k of at most 1 instead: K = 1/k. Empty: 1.",
    )
    temperature = FigureField(
        "Temperature of the room", "°C", low=COLDEST, high=WARMEST, help_text="Degrees Celsius, such as 20."
    )
    material = OwnChoice(
        "Material", "None of these", "material", "What stands on the shelf; its density is taken where it is recorded."
    )
    solvent = forms.ChoiceField(
        label="Solvent",
        choices=_solvent_choices,
        required=False,
        help_text="As section 3 of the maker's sheet names it.",
        error_messages={
            "invalid_choice": "Solvent: “%(value)s” is not in the list. Choose one of it, or type figures."
        },
    )
    amount = FigureField(
        "Amount that evaporates",
        "",
        low=0,
        high=1_000_000,
        above=True,
        help_text="All that is not put back and closed.",
    )
    unit = forms.ChoiceField(label="Unit", choices=[("ml", "ml"), ("g", "g")], initial="ml", required=False)
    pace = forms.ChoiceField(
        label="How it evaporates",
        choices=[("whole", "This amount, evenly over the time"), ("hourly", "This amount every hour")],
        initial="whole",
        required=False,
        widget=forms.RadioSelect,
    )
    share = FigureField(
        "Share of solvent in it",
        "",
        low=0,
        high=1,
        above=True,
        required=False,
        remedy="Enter a fraction by weight, above 0 and at most 1: 4 % is 0.04.",
        help_text="A fraction by weight: 4 % is 0.04. Empty: all of it, 1.",
    )
    minutes = FigureField("Time", "minutes", low=0, high=10_080, above=True, help_text="Minutes of work.")
    purge_to = FigureField(
        "Purge down to", "", low=0, high=1_000_000, above=True, required=False, help_text="Empty: to 10 and 1 %."
    )
    purge_unit = forms.ChoiceField(
        label="Unit of the purge level", choices=[("mg/m3", "mg/m³"), ("ppm", "ppm")], initial="mg/m3", required=False
    )
    molar_mass = FigureField("Molar mass", "g/mol", low=10, high=1000, required=False, help_text="g/mol.")
    density = FigureField("Density", "g/ml", low=0.5, high=2, required=False, help_text="g/ml, or kg/l.")
    vapour_pressure = FigureField(
        "Vapour pressure",
        "kPa",
        low=0,
        high=ATMOSPHERE_KPA,
        required=False,
        remedy=f"Enter 0 to {ATMOSPHERE_KPA:g} kPa, the air's own pressure: above it the liquid boils. 1 mmHg is "
        "0.133 kPa, 1 hPa is 0.1 kPa.",
        help_text="kPa at the room's temperature. 1 mmHg is 0.133 kPa; 1 hPa is 0.1 kPa.",
    )
    flash_point = FigureField("Flash point", "°C", low=-100, high=400, required=False, help_text="Degrees Celsius.")
    explosive = FigureField(
        "Lower explosive limit",
        "%",
        low=0,
        high=100,
        above=True,
        required=False,
        help_text="Percent of the air's volume.",
    )

    ROOM = ("room", "volume", "fresh_air", "mixing", "temperature")
    LIQUID = ("material", "solvent")
    SHEET = ("molar_mass", "density", "vapour_pressure", "flash_point", "explosive")
    WORK = ("amount", "unit", "pace", "share", "minutes", "purge_to", "purge_unit")

    def __init__(self, studio: Studio, data: QueryDict | None = None) -> None:
        if data is not None:  # an address that leaves a choice out means the usual one
            data = data.copy()
            for name in ("unit", "pace", "purge_unit"):
                data.setdefault(name, self.base_fields[name].initial)
        super().__init__(data)
        self.fields["room"].queryset = rooms(studio)  # type: ignore[attr-defined]  # a ModelChoiceField
        self.fields["material"].queryset = materials(studio)  # type: ignore[attr-defined]  # a ModelChoiceField

    def groups(self) -> list[tuple[str, list[forms.BoundField]]]:
        """The fields under their legends, but for those of the maker's sheet."""
        parts = (("The room", self.ROOM), ("What evaporates", self.LIQUID), ("How much and how long", self.WORK))
        return [(legend, [self[name] for name in names]) for legend, names in parts]

    def sheet_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in self.SHEET]

    def sheet_given(self) -> bool:
        """Whether a figure of the maker's sheet is typed, or asked for."""
        return any(field.value() or field.errors for field in self.sheet_fields())

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = self.cleaned_data
        self._take_room(data)
        liquid = self._liquid(data)
        if liquid and data.get("unit") != "g" and liquid.density is None and "amount" in data:
            self.add_error(
                "density", "Density: not known here. Type it from the maker's sheet, or give the amount in g."
            )
        if not self.errors and liquid:
            data["question"] = self._question(data, liquid)
            if data.get("purge_to") is not None:
                data["purge_to_mg_m3"] = self._as_mg(data["purge_to"], data, liquid)
        return data

    def _take_room(self, data: dict[str, Any]) -> None:
        """Fill the room's figures in, and ask for those that nobody wrote down."""
        room: Room | None = data.get("room")
        facts = getattr(room, "facts", None)
        parts = (
            ("volume", "volume", facts and facts.volume_litres),
            ("fresh_air", "fresh air", facts and facts.fresh_air_litres_hour),
        )
        for name, words, litres in parts:
            if name in self.errors or data.get(name) is not None:
                continue
            if litres is not None and not (name == "volume" and litres == 0):
                data[name] = litres / 1000
            elif room:
                self.add_error(
                    name,
                    f"{self.fields[name].label}: nobody has written down the {words} of {room}. Measure it or ask.",
                )
            elif "room" not in self.errors:
                self.add_error(name, f"{self.fields[name].label}: empty. Type it, or choose a room that has it.")

    def _liquid(self, data: dict[str, Any]) -> Liquid | None:
        """The liquid: what was typed from the sheet counts before the table, and the shelf's density before both."""
        material: Material | None = data.get("material")
        found = next((one for one in solvents() if one.key == data.get("solvent")), None)
        found = found or (solvent_of(material) if material else None)
        data["found"] = found
        base: Liquid | None = found.liquid if found else None
        typed = {name: Span(value, value, TYPED) for name in self.SHEET if (value := data.get(name)) is not None}
        mass = typed.get("molar_mass") or (base.molar_mass if base else None)
        if mass is None:
            if not {"solvent", "material", "molar_mass"} & set(self.errors):
                which = f"which solvent {material} is" if material else "what evaporates"
                self.add_error(
                    "solvent", f"Solvent: it is not known here {which}. Choose it, or type the figures of its sheet."
                )
            return None
        recorded = material.density_milli if material else None
        shelf = Span(recorded / 1000, recorded / 1000, "recorded on the shelf") if recorded else None
        return Liquid(
            name=material.name if material else base.name if base else "as typed",
            molar_mass=mass,
            density=typed.get("density") or shelf or (base.density if base else None),
            vapour_pressure=typed.get("vapour_pressure") or (base.vapour_pressure if base else None),
            vapour_at_c=None if "vapour_pressure" in typed or not base else base.vapour_at_c,
            flash_point=typed.get("flash_point") or (base.flash_point if base else None),
            explosive=typed.get("explosive") or (base.explosive if base else None),
        )

    def _question(self, data: dict[str, Any], liquid: Liquid) -> Question:
        share = 1.0 if data.get("share") is None else data["share"]
        # Without a density the amount is in g, else it was asked for above.
        density = liquid.density.high if liquid.density and data.get("unit") != "g" else 1.0
        mass = liquid_mass_mg(data["amount"], density_g_ml=density, share=share)
        hours = data["minutes"] / 60
        return Question(
            volume_m3=data["volume"],
            fresh_air_m3_h=data["fresh_air"],
            liquid=liquid,
            mass_mg=mass * hours if data.get("pace") == "hourly" else mass,
            time_h=hours,
            temperature_c=data["temperature"],
            mixing_factor=1.0 if data.get("mixing") is None else data["mixing"],
        )

    def _as_mg(self, value: float, data: dict[str, Any], liquid: Liquid) -> float:
        if data.get("purge_unit") != "ppm":
            return value
        volume = molar_volume_l_mol(data["temperature"])
        return mg_m3(value, molar_mass_g_mol=liquid.molar_mass.low, molar_volume=volume)

"""Colours of paints as a person gives them: typed, from a spectrum file, from a photo of the swatch card."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any

import numpy as np
from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.colour.appearance import cielab
from inventory.colour.samples import MAY_STAND
from inventory.labels import Doubt
from inventory.labels.doubts import Severity, shown
from inventory.measuring.card import MASSTONE, OVER_BLACK, OVER_PAPER, TINT_1_1, TINT_1_9, layout_of_card
from inventory.measuring.colours import read_colour
from inventory.measuring.photo import read_card_photo
from inventory.measuring.spectra import SpectrumSample, read_spectrum
from inventory.models import Measurement, Paint, Swatch, Way
from inventory.services.colours.checking import Beside
from inventory.services.colours.keeping import keep
from inventory.services.colours.working_out import work_out
from studio.models import User

FIELDS: Mapping[str, Swatch] = {
    MASSTONE: Swatch.MASSTONE,
    TINT_1_9: Swatch.TINT_1_9,
    TINT_1_1: Swatch.TINT_1_1,
    OVER_PAPER: Swatch.OVER_WHITE,
    OVER_BLACK: Swatch.OVER_BLACK,
}
SPECTRUM_SD = 0.5


def add_colour(
    paint: Paint,
    *,
    by: User,
    beside: Beside,
    text: str,
    notation: str = "",
    illuminant: str | None = None,
    observer: str | None = None,
) -> Measurement:
    """Take a colour as typed. ValidationError names the field, the value and the remedy, or asks."""
    return _add(paint, by, beside, of_text(text, notation=notation, illuminant=illuminant, observer=observer))


def of_text(
    text: str, *, notation: str = "", illuminant: str | None = None, observer: str | None = None
) -> Measurement:
    """A typed colour as a measurement that is kept nowhere yet."""
    if not text.strip():
        raise ValidationError({"text": "Enter the colour, such as 32.1, 14.2, -41.7 or 5PB 3/10."})
    read = read_colour(text, notation=notation or None, illuminant=illuminant or None, observer=observer or None)
    _refuse_open(read.doubts, {"illuminant", "observer", "notation"}, "text")
    assert read.lab is not None  # noqa: S101  # settled, so it has a colour
    L, a, b = read.lab
    return Measurement(
        way=Way.TYPED,
        text=text.strip(),
        notation=read.notation.value,
        illuminant=read.illuminant.value,
        observer=read.observer.value,
        lightness=L,
        a=a,
        b=b,
        converted=read.converted[:300],
        rough=read.rough,
        sd=read.sd,
        stated=None if read.stated is None else list(read.stated),
        stated_sd=None if read.stated is None else read.stated_sd,
        viewing=read.viewing.value if read.viewing and read.stated else "",
        remarks=[doubt.message for doubt in read.doubts],
    )


def add_spectrum(
    paint: Paint,
    *,
    by: User,
    beside: Beside,
    data: bytes,
    file_name: str,
    sample: str = "",
    chosen: Mapping[str, str] | None = None,
) -> Measurement:
    """Take one sample of a spectrum file; `chosen` answers what the file does not say (specular, geometry, backing...).

    A file of several samples asks which, unless `sample` names it.
    """
    answers = {f"{name}:": value for name, value in (chosen or {}).items() if value}
    reading = read_spectrum(data, file_name, chosen=answers)
    fields = {"specular", "geometry", "backing", "illuminant", "scale"}
    _refuse_open([one for one in reading.doubts if one.code not in fields], set(), "file")
    found = _one_sample(reading.samples, sample)
    _refuse_open((*reading.doubts, *found.doubts), fields, "file")
    assert found.reflectance is not None  # noqa: S101  # settled, so it has a reflectance
    stated = found.conditions
    one = of_reflectance(
        f"{file_name}: {found.name}",
        [float(value) for value in found.reflectance],
        illuminant=stated.illuminant,
        specular=stated.specular.value,
        geometry=stated.geometry,
        backing=stated.backing,
    )
    one.remarks = [doubt.message for doubt in (*reading.doubts, *found.doubts)]
    return _add(paint, by, beside, one)


def of_reflectance(text: str, spectrum: list[float], **stated: Any) -> Measurement:
    """A measured reflectance, fractions at 400 to 700 nm by 10, as a measurement that is kept nowhere yet."""
    L, a, b = (float(value) for value in cielab(np.asarray(spectrum)))
    return Measurement(
        way=Way.SPECTRUM,
        text=text[:300],
        notation="spectrum",
        observer="10",
        lightness=min(max(L, 0.0), 100.0),
        a=a,
        b=b,
        converted="from the reflectance, D65 and 10 degrees",
        spectrum=spectrum,
        sd=SPECTRUM_SD,
        **stated,
    )


def of_photo(text: str, lab: tuple[float, float, float], *, converted: str, sd: float) -> Measurement:
    """A colour read from a photo as a measurement that is kept nowhere yet."""
    L, a, b = lab
    return Measurement(
        way=Way.PHOTO,
        text=text[:300],
        notation="photo",
        illuminant="D65",
        observer="10",
        lightness=min(max(L, 0.0), 100.0),
        a=a,
        b=b,
        converted=converted[:300],
        rough=True,
        sd=sd,
    )


def add_card_photo(
    paint: Paint,
    *,
    by: User,
    data: bytes,
    file_name: str,
    corners: tuple[tuple[float, float], ...],
    references: Mapping[str, tuple[float, float, float]],
    fields: Collection[str],
    white: Paint | None = None,
    note: str = "",
    film_um: str = "",
) -> list[Measurement]:
    """Take the painted fields of a photographed swatch card, all of them or none.

    `film_um` is the wet film of its drawdown as typed. `corners` are the card's upper left, upper right, lower right
    and lower left corner as fractions of the photo; `references` are the known colours (D65, 10 degree) of patches
    stuck on it; `fields` those that are painted.
    """
    wanted = [name for name in FIELDS if name in fields]
    if not wanted:
        raise ValidationError({"fields": "Say which fields of the card are painted."})
    if len(corners) != 4:
        raise ValidationError({"corners": f"The card has four corners, not {len(corners)}. Mark them again."})
    one, two, three, four = corners
    try:
        layout = layout_of_card((one, two, three, four), references)
    except ValueError as error:
        raise ValidationError({"references": str(error)}) from error
    reading = read_card_photo(data, layout)
    _refuse_open(reading.doubts, set(), "file")
    residual = reading.residual
    left_out = "" if residual is None else f", each of which comes out {residual:.1f} off (CIEDE2000) by the others"
    made = []
    with transaction.atomic():
        for found in (one for one in reading.fields if one.name in wanted):
            _refuse_open(found.doubts, set(), "file")
            assert found.lab is not None  # noqa: S101  # settled, so it has a colour
            kind = FIELDS[found.name]
            measurement = of_photo(
                f"{file_name}: {found.name}",
                found.lab,
                converted=f"corrected by {reading.corrected}{left_out}",
                sd=found.sd,
            )
            measurement.remarks = [doubt.message for doubt in (*reading.doubts, *found.doubts)]
            beside = Beside(
                kind,
                white if kind.is_tint else None,
                note=note,
                confirmed=MAY_STAND,
                film_um=film_um if kind.is_film else "",
            )
            made.append(keep(paint, by, beside, measurement))
    work_out(paint)
    return made


def _add(paint: Paint, by: User, beside: Beside, measurement: Measurement) -> Measurement:
    with transaction.atomic():
        kept = keep(paint, by, beside, measurement)
    work_out(paint)
    return kept


def _one_sample(samples: Sequence[SpectrumSample], name: str) -> SpectrumSample:
    """The sample meant; ValidationError asks which."""
    named = [one for one in samples if one.name == name] if name else list(samples)
    if len(named) == 1:
        return named[0]
    names = ", ".join(shown(one.name) for one in samples[:12])
    more = f" and {len(samples) - 12} more" if len(samples) > 12 else ""
    said = f"There is no sample {shown(name)} in the file" if name and not named else "The file has several samples"
    if len(named) > 1 and name:
        said = f"{len(named)} samples are called {shown(name)}"
    raise ValidationError({"sample": f"{said}: {names}{more}. Type the name of the one that you mean."})


def _refuse_open(doubts: Iterable[Doubt], fields: Collection[str], otherwise: str) -> None:
    """Raise what is refused or asked, each beside its field."""
    problems: dict[str, list[ValidationError]] = {}
    for doubt in doubts:
        if doubt.severity is Severity.REFUSED or doubt.severity is Severity.ASK:
            name = doubt.code if doubt.code in fields else otherwise
            problems.setdefault(name, []).append(ValidationError(doubt.message, code=doubt.severity.value))
    if problems:
        raise ValidationError(problems)

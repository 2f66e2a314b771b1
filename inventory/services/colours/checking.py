"""What of a measurement cannot be, and what has to be asked before it is kept."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field

from django.core.exceptions import ValidationError

from inventory.colour.appearance import lab_from_relative_xyz
from inventory.colour.curves import BandRow, from_bands
from inventory.colour.kubelka_munk import reflectance_infinite, saunderson
from inventory.colour.mixing import mixture_lab
from inventory.colour.recovery import generic_white
from inventory.colour.samples import Doubt, DoubtfulColours, DoubtKind, check_white, doubts, unlike_its_code
from inventory.colour.viewing import weights_under
from inventory.models import Measurement, Paint, Swatch
from inventory.queries.measured import Inputs, inputs_of, why_no_white, with_measurements
from inventory.queries.palette import typical_rows

# Parts of paint and of white: how a masstone, a thin film of it and its tints may look.
_SHADES = ((1.0, 0.0), (1.0, 1.0), (1.0, 9.0))
CONFIRM, EXCHANGE = "confirm", "exchange"


@dataclass(frozen=True)
class Beside:
    """What is given with a colour, however the colour itself comes."""

    kind: str
    white: Paint | None = None
    film_white: str = ""
    """L* of titanium white drawn down over black with the same bar; says how thick the film is."""
    note: str = ""
    confirmed: Collection[str] = field(default=())
    exchange: bool = False
    film_um: str = ""
    """The wet film of a drawdown in micrometres, as typed."""


@dataclass
class Known:
    """What measurements are checked against; for a whole table it is read once, and what is kept is put down here too.

    Paints that are read are held until the transaction ends, so that two people who measure one come one after another.
    """

    rows: Sequence[BandRow] = field(default_factory=typical_rows)
    waits: set[int] = field(default_factory=set)
    """Paints that were marked already as waiting for their curve."""
    _paints: dict[int, Paint] = field(default_factory=dict)

    def read(self, paints: Iterable[Paint]) -> None:
        """Hold and read these paints with what stands of their measurements: six queries for any number."""
        missing = sorted({paint.pk for paint in paints} - self._paints.keys())
        if missing:
            found = Paint.objects.filter(pk__in=missing)
            list(found.select_for_update(of=("self",)).order_by("pk"))
            self._paints |= {paint.pk: paint for paint in with_measurements(found)}

    def paint(self, paint: Paint) -> Paint:
        self.read([paint])
        return self._paints[paint.pk]

    def kept(self, measurement: Measurement) -> None:
        """A measurement was stored since."""
        self._paints[measurement.paint_id].given.append(measurement)  # type: ignore[attr-defined]  # with_measurements

    def forget(self, keys: Iterable[int]) -> None:
        """Measurements of these paints have changed: read them again when they are next asked for."""
        for key in keys:
            self._paints.pop(key, None)


def check(measurement: Measurement, beside: Beside, known: Known) -> Measurement | None:
    """Refuse or ask what cannot be; return the measurement that the person says was exchanged with this one."""
    if beside.white is not None:
        measurement.white = known.paint(beside.white)
        if why := why_no_white(measurement.white, known.rows):
            raise ValidationError({"white": why})
    try:
        inputs = inputs_of(known.paint(measurement.paint), known.rows, more=[measurement])
    except ValueError as error:
        raise ValidationError({"text": f"{error}."}) from error
    if inputs is None:
        return None
    _refuse_no_white(measurement, inputs)
    found = [
        *doubts(inputs.observed, None if inputs.is_white else _masstone(inputs)),
        *_of_the_code(measurement, inputs),
    ]
    if any(doubt.kind is DoubtKind.SWAPPED for doubt in found) and beside.exchange:
        return next(one for one in inputs.used if one is not measurement and _opposite(one, measurement))
    _settle(found, measurement, beside.confirmed)
    return None


def _refuse_no_white(measurement: Measurement, inputs: Inputs) -> None:
    """The masstone of what the label calls a white has to be one."""
    if measurement.swatch is Swatch.MASSTONE and inputs.white_row is not None and not inputs.is_white:
        try:
            check_white(measurement.lab)
        except DoubtfulColours as error:
            codes = ", ".join(inputs.observed.codes)
            raise ValidationError({"text": f"The label says {codes}, a white, but {error}"}) from error


def _settle(found: Iterable[Doubt], measurement: Measurement, confirmed: Collection[str]) -> None:
    """Raise the doubts that refuse the measurement and those that nobody has answered yet."""
    asked = []
    for doubt in found:
        if doubt.kind is DoubtKind.SWAPPED:
            raise ValidationError({"exchange": ValidationError(doubt.message, code=EXCHANGE)})
        if doubt.may_stand and doubt.kind in confirmed:
            if doubt.kind is DoubtKind.UNLIKE_ITS_CODE:  # it stands, and is told beside the colour
                measurement.remarks = [*measurement.remarks, doubt.message]
        elif doubt.may_stand and _is_about(doubt.kind, measurement):
            asked.append(ValidationError(doubt.message, code=CONFIRM))
        elif not doubt.may_stand:
            raise ValidationError({"text": doubt.message})
    if asked:
        raise ValidationError({"confirmed": asked})


def _of_the_code(measurement: Measurement, inputs: Inputs) -> list[Doubt]:
    """Whether the masstone that is given is that of the paint's one pigment."""
    codes = inputs.observed.codes
    if measurement.swatch is not Swatch.MASSTONE or len(codes) != 1 or inputs.is_white:
        return []
    white, curves = generic_white(), [from_bands(row) for row in inputs.rows if row.ci == codes[0]]
    looks = [mixture_lab([curve.k, white.k], [curve.s, white.s], _SHADES) for curve in curves]
    doubt = unlike_its_code(measurement.lab, codes[0], looks)
    return [doubt] if doubt else []


def _opposite(one: Measurement, other: Measurement) -> bool:
    return {one.swatch.is_tint, other.swatch.is_tint} == {True, False} and not (
        one.swatch.is_film or other.swatch.is_film
    )


def _is_about(kind: DoubtKind, measurement: Measurement) -> bool:
    """A doubt about the darkest swatch is asked with that swatch, not with every one that follows."""
    return kind is not DoubtKind.DARKER_THAN_SURFACE or measurement.lightness < 20.0


def _masstone(inputs: Inputs) -> tuple[float, float, float]:
    seen = saunderson(reflectance_infinite(inputs.ground.k, inputs.ground.s)) @ weights_under(inputs.observed.viewing).T
    L, a, b = (float(value) for value in lab_from_relative_xyz(seen))
    return L, a, b

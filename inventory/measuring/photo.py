"""A photo of the swatch card, corrected by patches of known colour in the same light: rough, and says how rough."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO

import numpy as np
from numpy.typing import NDArray

from inventory.colour.appearance import difference, lab_from_relative_xyz
from inventory.labels.doubts import Doubt, Severity, settled, shown
from inventory.measuring.card import Box, CardLayout, Lab, Reference
from inventory.measuring.viewing import relative_xyz

Floats = NDArray[np.float64]

MOST_BYTES = 30_000_000
MOST_PIXELS = 40_000_000
# A JPEG of more pixels than this on its shorter side is decoded at a half, quarter or eighth: it saves memory.
ENOUGH_PIXELS = 1200
FORMATS = ("JPEG", "PNG", "WEBP")
# All bounds below are our judgement.
LEAST_PIXELS = 8  # sides of a box in the photo
LEAST_AREA = 0.05  # of the photo, for the card
INSET = 0.2  # of a box left out on each side: edges, brush marks and glue
GRID = 40  # samples across a box
CLIPPED_SHARE = 0.02
HIGHEST, LOWEST = 253, 2  # 8 bit values that count as clipped
MOST_UNEVEN = 1.5  # brightest to darkest paper, before it is evened out
MOST_LEFT_UNEVEN = 1.10  # the same of greys and paper afterwards, or of greys alone without paper
MOST_CAST = 1.08  # change of red or blue against green from place to place: two kinds of light
MOST_RESIDUAL = 5.0  # CIEDE2000, mean
LEAST_SD = 2.0
# Photos computed with three cameras whose primaries are not those of sRGB were 5 to 10 CIEDE2000 off on average.
GREY_ONLY_SD = 10.0
FEWEST_FOR_MATRIX, FEWEST_FOR_AFFINE = 5, 8

# IEC 61966-2-1: linear sRGB to X, Y, Z, each relative to the white.
_SRGB = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
_SRGB = _SRGB / _SRGB.sum(axis=1, keepdims=True)


@dataclass(frozen=True)
class FieldColour:
    """One painted field: L*, a*, b* for D65 and the 10 degree observer, always rough; None where it is refused."""

    name: str
    lab: Lab | None
    sd: float
    doubts: tuple[Doubt, ...] = ()
    rough: bool = True


@dataclass(frozen=True)
class CardReading:
    """What a photo gave. `residual` is the mean CIEDE2000 of references left out of their own correction in turn.

    `residual` is None where there are too few references to leave one out; `worst` names the worst reference.
    """

    fields: tuple[FieldColour, ...] = ()
    residual: float | None = None
    worst: str = ""
    corrected: str = ""
    doubts: tuple[Doubt, ...] = ()

    @property
    def is_settled(self) -> bool:
        return settled(self.doubts)


class _PhotoError(ValueError):
    def __init__(self, code: str, message: str) -> None:
        super().__init__(message)
        self.code = code


def read_card_photo(image_bytes: bytes, layout: CardLayout) -> CardReading:
    """Read the painted fields of a photographed card. Nothing raises: what cannot be used is a doubt with its remedy.

    The photo's values are made linear (IEC 61966-2-1), evened out by the bare paper, and brought to X, Y, Z by the
    least squares over the references: a 3 by 3 matrix for 5 or more, with an offset where there are 8 and they come
    out nearer with it, and a gain for each channel for fewer.
    """
    try:
        card = _Card(_pixels(image_bytes), layout)
        return _read(card, layout)
    except _PhotoError as error:
        return CardReading(doubts=(Doubt(error.code, Severity.REFUSED, str(error)),))


# The picture


def _pixels(data: bytes) -> NDArray[np.uint8]:
    from PIL import Image, ImageOps, UnidentifiedImageError

    if len(data) > MOST_BYTES:
        raise _PhotoError("too-large", f"The photo has {len(data)} bytes; at most {MOST_BYTES}. Save it smaller.")
    try:
        with Image.open(BytesIO(data), formats=FORMATS) as image:
            image.draft("RGB", (ENOUGH_PIXELS, ENOUGH_PIXELS))
            if image.width * image.height > MOST_PIXELS:
                raise _PhotoError(
                    "too-large", f"The photo is {image.width} by {image.height} pixels; at most {MOST_PIXELS} in all."
                )
            if image.mode not in ("RGB", "RGBA", "P"):
                raise _PhotoError(
                    "mode",
                    f"The photo is stored as {image.mode}; save it as a colour JPEG or PNG with 8 bits a channel.",
                )
            turned = ImageOps.exif_transpose(image)
            return np.asarray(turned.convert("RGB"), dtype=np.uint8)
    except UnidentifiedImageError:
        raise _PhotoError(
            "format", f"The file is no photo that can be read. Save it as {' or '.join(FORMATS)}."
        ) from None
    except Image.DecompressionBombError:
        raise _PhotoError(
            "too-large", f"The photo says it has more than {MOST_PIXELS} pixels. Save it smaller."
        ) from None
    except _PhotoError:
        raise
    except (OSError, SyntaxError, ValueError) as error:
        raise _PhotoError("broken", f"The photo is broken ({error}). Copy it from the camera again.") from None


def linear(eight_bit: NDArray[np.uint8] | Floats) -> Floats:
    """Return linear light 0 to 1 of 8 bit sRGB values (IEC 61966-2-1)."""
    value = np.asarray(eight_bit, dtype=np.float64) / 255.0
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)


@dataclass(frozen=True)
class _Patch:
    """A box of the photo: mean linear light (3,), and the shares of samples clipped at the top and at the bottom."""

    colour: Floats
    high: float
    low: float


class _Card:
    """The photo with the card's corners: gives the colour of any box of the card."""

    def __init__(self, pixels: NDArray[np.uint8], layout: CardLayout) -> None:
        self.pixels = pixels
        height, width = pixels.shape[:2]
        corners = np.array(layout.corners, dtype=np.float64)
        _check_corners(corners)
        self.to_photo = _homography(corners * (width, height))

    def patch(self, name: str, box: Box) -> _Patch:
        if not (0.0 <= box.left < box.right <= 1.0 and 0.0 <= box.top < box.bottom <= 1.0):
            raise _PhotoError("box", f"The place of {shown(name)} does not lie on the card. Correct the layout.")
        # As many samples as there are pixels, within bounds, so that no pixel counts for many.
        inset_x, inset_y = INSET * (box.right - box.left), INSET * (box.bottom - box.top)
        x = np.linspace(box.left + inset_x, box.right - inset_x, GRID)
        y = np.linspace(box.top + inset_y, box.bottom - inset_y, GRID)
        place = self._places(np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2))
        if min(np.ptp(place[:, 0]), np.ptp(place[:, 1])) < LEAST_PIXELS * (1 - 2 * INSET):
            raise _PhotoError("small", f"{shown(name)} is only a few pixels wide. Take the photo from nearer.")
        column = np.clip(place[:, 0].astype(int), 0, self.pixels.shape[1] - 1)
        row = np.clip(place[:, 1].astype(int), 0, self.pixels.shape[0] - 1)
        values = self.pixels[row, column]
        light = linear(values)
        # The middle eight tenths by brightness: dust and single glints stay out.
        order = np.argsort(light.sum(axis=1))
        kept = light[order[len(order) // 10 : len(order) - len(order) // 10]]
        return _Patch(
            kept.mean(axis=0),
            float((values >= HIGHEST).any(axis=1).mean()),
            float((values <= LOWEST).any(axis=1).mean()),
        )

    def _places(self, on_card: Floats) -> Floats:
        found = np.column_stack((on_card, np.ones(len(on_card)))) @ self.to_photo.T
        return np.asarray(found[:, :2] / found[:, 2:])


def _check_corners(corners: Floats) -> None:
    names = "upper left, upper right, lower right, lower left"
    if corners.shape != (4, 2) or not np.isfinite(corners).all() or (corners < 0.0).any() or (corners > 1.0).any():
        raise _PhotoError("corners", f"The corners must be four points inside the photo: {names}. Mark them again.")
    edges = np.roll(corners, -1, axis=0) - corners
    turns = edges[:, 0] * np.roll(edges, -1, axis=0)[:, 1] - edges[:, 1] * np.roll(edges, -1, axis=0)[:, 0]
    if not (turns > 0.0).all():
        raise _PhotoError("corners", f"The corners are not in the order {names}. Mark them again.")
    x, y = corners.T
    area = 0.5 * abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1)))
    if area < LEAST_AREA:
        raise _PhotoError("small", f"The card fills {area:.0%} of the photo; at least {LEAST_AREA:.0%}. Go nearer.")


def _homography(corners: Floats) -> Floats:
    """Return the 3 by 3 matrix that takes the unit square to four points."""
    rows, target = [], []
    for (u, v), (x, y) in zip(((0, 0), (1, 0), (1, 1), (0, 1)), corners.tolist(), strict=True):
        rows += [[u, v, 1, 0, 0, 0, -u * x, -v * x], [0, 0, 0, u, v, 1, -u * y, -v * y]]
        target += [x, y]
    return np.append(np.linalg.solve(np.array(rows, dtype=np.float64), np.array(target)), 1.0).reshape(3, 3)


# The reading


def _read(card: _Card, layout: CardLayout) -> CardReading:
    _check_references(layout)
    references = layout.references
    patches = [card.patch(reference.name, reference.box) for reference in references]
    _refuse_clipped(references, patches)
    light, notes = _light(card, layout)
    rgb = np.stack(
        [patch.colour / light.at(reference.box) for reference, patch in zip(references, patches, strict=True)]
    )
    _check_evenness(references, rgb)
    target = relative_xyz(np.array([reference.lab for reference in references]))
    # An offset takes out stray light, and is one more thing to go wrong where there is none: the references decide.
    kind, (residual, worst, sd) = min(
        ((kind, _residual(rgb, target, references, kind)) for kind in _kinds(rgb, references)),
        key=lambda tried: tried[1][0] or 0.0,
    )
    if residual is not None and residual > MOST_RESIDUAL:
        raise _PhotoError(
            "residual",
            f"The references come out wrong by {residual:.1f} on average (CIEDE2000, at most {MOST_RESIDUAL:g}); "
            f"the worst is {shown(worst)}. Check that each patch lies in its place with its own colour, and that "
            "nothing shines.",
        )
    correction = _fit(rgb, target, kind)
    # A gain for each channel is no more a guess for vivid colours than for others: its sd is wide enough for all.
    vivid = math.inf if kind == "gain" else max(math.hypot(*reference.lab[1:]) for reference in references)
    fields = tuple(
        _field(field.name, card.patch(field.name, field.box), light.at(field.box), correction, sd, vivid)
        for field in layout.fields
    )
    return CardReading(fields, residual, worst, f"{_HOW[kind]}, fitted to {len(references)} references", notes)


def _check_references(layout: CardLayout) -> None:
    if not any(reference.grey for reference in layout.references):
        raise _PhotoError(
            "no-grey", "The card has no known grey. Stick a grey card of known colour on it and name its colour."
        )
    for reference in layout.references:
        if not np.isfinite(reference.lab).all() or not 0.0 < reference.lab[0] <= 100.0:
            raise _PhotoError(
                "reference",
                f"The colour of {shown(reference.name)} is {reference.lab}; give its L*, a*, b* (L* above 0).",
            )
        if reference.grey and math.hypot(*reference.lab[1:]) > 6.0:
            raise _PhotoError(
                "reference", f"{shown(reference.name)} is said to be grey, but its a* and b* are {reference.lab[1:]}."
            )


def _refuse_clipped(references: Sequence[Reference], patches: Sequence[_Patch]) -> None:
    for end, said, remedy in (
        ("high", "too bright", "Expose less"),
        ("low", "too dark in a channel", "Expose more, or use a less vivid patch"),
    ):
        clipped = [r.name for r, p in zip(references, patches, strict=True) if getattr(p, end) > CLIPPED_SHARE]
        if clipped:
            raise _PhotoError(
                "clipped",
                f"{', '.join(shown(name) for name in clipped)} {'is' if len(clipped) == 1 else 'are'} {said} for the "
                f"camera, so the colour is cut off there. {remedy}, and take the photo again.",
            )


@dataclass(frozen=True, eq=False)
class _Light:
    """Brightness of the light over the card, from a plane through the logarithms at the bare paper; (3,) a channel."""

    plane: Floats

    def at(self, box: Box) -> Floats:
        middle = np.array([1.0, (box.left + box.right) / 2 - 0.5, (box.top + box.bottom) / 2 - 0.5])
        return np.asarray(np.exp(middle @ self.plane))


def _light(card: _Card, layout: CardLayout) -> tuple[_Light, tuple[Doubt, ...]]:
    greys = [reference for reference in layout.references if reference.grey]
    if len(layout.paper) < 3:
        if len(greys) > 1:
            return _Light(np.zeros((3, 3))), ()
        message = "With one grey and no bare paper it cannot be seen whether the light is even."
        return _Light(np.zeros((3, 3))), (Doubt("evenness-unknown", Severity.NOTE, message),)
    patches = [card.patch("the bare paper", box) for box in layout.paper]
    if max(patch.high for patch in patches) > CLIPPED_SHARE:
        raise _PhotoError(
            "clipped", "The bare paper is too bright for the camera. Expose less, and take the photo again."
        )
    bright = np.stack([patch.colour for patch in patches])
    places = np.array([[1.0, (b.left + b.right) / 2 - 0.5, (b.top + b.bottom) / 2 - 0.5] for b in layout.paper])
    _refuse_uneven(bright[:, 1], MOST_UNEVEN, "the bare paper")
    _refuse_cast(bright, "the bare paper")
    plane = np.linalg.lstsq(places, np.log(np.maximum(bright, 1e-6)), rcond=None)[0]
    plane[0] = 0.0  # only the slope: the level is the references' affair
    left = np.log(bright[:, 1]) - places @ plane[:, 1]
    _refuse_uneven(np.exp(left), MOST_LEFT_UNEVEN, "the bare paper, once a slope is taken out,")
    spread = float(bright[:, 1].max() / bright[:, 1].min())
    if spread <= MOST_LEFT_UNEVEN:
        return _Light(plane), ()
    message = f"The light differs by {spread - 1:.0%} over the card; it was evened out by the bare paper."
    return _Light(plane), (Doubt("evened-out", Severity.NOTE, message),)


def _refuse_uneven(bright: Floats, most: float, where: str) -> None:
    ratio = float(bright.max() / max(bright.min(), 1e-6))
    if ratio > most:
        raise _PhotoError(
            "uneven",
            f"The light is uneven: {where} differs by {ratio - 1:.0%} from place to place (at most {most - 1:.0%}). "
            "Turn the card to the window or the lamps, keep your shadow off it, and take the photo again.",
        )


def _refuse_cast(rgb: Floats, where: str) -> None:
    for channel, name in ((0, "red"), (2, "blue")):
        share = rgb[:, channel] / np.maximum(rgb[:, 1], 1e-6)
        cast = float(share.max() / max(share.min(), 1e-6))
        if cast > MOST_CAST:
            raise _PhotoError(
                "mixed-light",
                f"Two kinds of light fall on the card: {where} changes by {cast - 1:.0%} in {name} from place to "
                "place. Use one light alone.",
            )


def _check_evenness(references: Sequence[Reference], rgb: Floats) -> None:
    grey = [place for place, reference in enumerate(references) if reference.grey]
    if len(grey) > 1:
        true = relative_xyz(np.array([references[place].lab for place in grey]))[:, 1]
        _refuse_uneven(rgb[grey, 1] / true, MOST_LEFT_UNEVEN, "the grey")
        _refuse_cast(rgb[grey], "the grey")


# The correction


_HOW = {
    "affine": "sums of its three channels and an offset",
    "matrix": "sums of its three channels",
    "gain": "a gain for each channel",
}


def _kinds(rgb: Floats, references: Sequence[Reference]) -> tuple[str, ...]:
    """The corrections that the references can carry."""
    if len(references) < FEWEST_FOR_MATRIX:
        return ("gain",)
    even = rgb / np.linalg.norm(rgb, axis=1, keepdims=True)
    # Greys alone span one direction of three: nothing would hold the others.
    spans = np.linalg.svd(even, compute_uv=False)[2] > 0.05 * math.sqrt(len(even))
    if not spans:
        return ("gain",)
    return ("matrix", "affine") if len(references) >= FEWEST_FOR_AFFINE else ("matrix",)


def _fit(rgb: Floats, target: Floats, kind: str) -> Floats:
    """Return the (4, 3) matrix that takes (r, g, b, 1) to X, Y, Z, errors weighed as CIELAB sees them."""
    design = np.column_stack((rgb, np.ones(len(rgb))))[:, : 4 if kind == "affine" else 3]
    weight = np.maximum(target, 0.01) ** (-2.0 / 3.0)
    found = np.zeros((4, 3))
    if kind == "gain":
        white = target @ np.linalg.inv(_SRGB).T
        gains = (white * rgb).sum(axis=0) / (rgb**2).sum(axis=0)
        found[:3] = (_SRGB * gains).T
        return found
    for axis in range(3):
        w = weight[:, axis]
        found[: design.shape[1], axis] = np.linalg.lstsq(design * w[:, None], target[:, axis] * w, rcond=None)[0]
    return found


def _apply(rgb: Floats, correction: Floats) -> Floats:
    return np.asarray(rgb @ correction[:3] + correction[3])


def _residual(
    rgb: Floats, target: Floats, references: Sequence[Reference], kind: str
) -> tuple[float | None, str, float]:
    """Return the mean CIEDE2000 of references left out in turn, the worst, and the sd of L*, a*, b* to state."""
    colours = sum(not reference.grey for reference in references)
    if len(references) < 3 or not colours:
        return None, "", GREY_ONLY_SD
    predicted = np.empty_like(target)
    for place in range(len(rgb)):
        others = np.arange(len(rgb)) != place
        predicted[place] = _apply(rgb[place], _fit(rgb[others], target[others], kind))
    true = np.array([reference.lab for reference in references])
    seen = lab_from_relative_xyz(np.maximum(predicted, 0.0))
    error = difference(seen, true)
    sd = max(GREY_ONLY_SD if kind == "gain" else LEAST_SD, float(np.sqrt(((seen - true) ** 2).mean())))
    return float(error.mean()), references[int(error.argmax())].name, sd


def _field(name: str, patch: _Patch, light: Floats, correction: Floats, sd: float, vivid: float) -> FieldColour:
    if patch.high > CLIPPED_SHARE:
        message = f"{shown(name)} is too bright for the camera or shines. Expose less, or turn it from the light."
        return FieldColour(name, None, math.nan, (Doubt("clipped", Severity.REFUSED, message, name),))
    xyz = _apply(patch.colour / light, correction)
    if (xyz < -0.01).any() or (xyz > 1.05).any():
        message = (
            f"{shown(name)} comes out as no possible colour of a surface. Check its place, or measure it otherwise."
        )
        return FieldColour(name, None, math.nan, (Doubt("impossible", Severity.REFUSED, message, name),))
    L, a, b = lab_from_relative_xyz(np.clip(xyz, 0.0, 1.0)).tolist()
    doubts = []
    if patch.low > CLIPPED_SHARE:
        message = f"{shown(name)} is more vivid or darker than the camera's colours reach; the paint may be more vivid."
        doubts.append(Doubt("camera-limit", Severity.NOTE, message, name))
        sd *= 2.0
    if math.hypot(a, b) > 1.2 * vivid + 5.0:
        message = f"{shown(name)} is more vivid than every reference, so its colour is a guess beyond them."
        doubts.append(Doubt("beyond-references", Severity.NOTE, message, name))
        sd *= 1.5
    return FieldColour(name, (L, a, b), sd, tuple(doubts))

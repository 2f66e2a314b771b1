"""Photos of the swatch card that the tests make: known colours through a known camera, with noise and slanting light.

Colours are those of the 24 patches whose spectra ISO 17321-1 lists, taken from colour-science.
"""

import sys
import zlib
from dataclasses import replace
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from inventory.colour.appearance import cielab, colour_science, difference
from inventory.labels.doubts import Severity
from inventory.measuring import card
from inventory.measuring.card import Reference, layout_of_card
from inventory.measuring.photo import MOST_RESIDUAL, read_card_photo
from inventory.measuring.viewing import relative_xyz

CORNERS = ((0.08, 0.10), (0.93, 0.06), (0.95, 0.92), (0.05, 0.88))
SIDE = 480
# Linear light of a camera with primaries of its own: rows are red, green and blue.
CAMERA = np.array([[0.75, 0.35, -0.10], [-0.25, 1.15, 0.10], [0.02, 0.10, 0.68]])


def _chart():
    colour = colour_science()
    shape = colour.SpectralShape(400, 700, 10)
    spectra = colour.SDS_COLOURCHECKERS["ISO 17321-1"].items()
    return {name: sd.copy().align(shape).values for name, sd in spectra}


CHART = _chart()
LAB = {name: tuple(cielab(R).tolist()) for name, R in CHART.items()}
STUCK = {
    "Grey 1": "neutral 6.5 (.44 D)",
    "Grey 2": "neutral 6.5 (.44 D)",
    "Colour 1": "red",
    "Colour 2": "yellow",
    "Colour 3": "bluish green",
    "Colour 4": "purplish blue",
    "Colour 5": "dark skin",
    "Colour 6": "magenta",
}
PAINTED = {
    card.MASSTONE: "moderate red",
    card.TINT_1_1: "light skin",
    card.TINT_1_9: "blue sky",
    card.OVER_PAPER: "foliage",
    card.OVER_BLACK: "purple",
}
LAYOUT = layout_of_card(CORNERS, {place: LAB[patch] for place, patch in STUCK.items()})


def _encode(light):
    value = np.where(light <= 0.0031308, light * 12.92, 1.055 * np.maximum(light, 1e-9) ** (1 / 2.4) - 0.055)
    return np.clip(value * 255.0, 0.0, 255.0)


def _camera(reflectance):
    """Linear red, green, blue by the camera's matrix."""
    return CAMERA @ relative_xyz(cielab(reflectance))


def _photo(camera=_camera, exposure=0.8, noise=1.5, slope=0.0, cast=0.0, form="PNG", painted=PAINTED, stuck=STUCK,
           quality=92):  # fmt: skip
    """Draw the card by asking, for each pixel, where on the card it lies."""
    corners = np.array(CORNERS) * SIDE
    rows, target = [], []
    for (x, y), (u, v) in zip(corners, ((0, 0), (1, 0), (1, 1), (0, 1)), strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        target += [u, v]
    back = np.append(np.linalg.solve(rows, target), 1.0).reshape(3, 3)
    y, x = np.mgrid[0:SIDE, 0:SIDE] + 0.5
    place = np.stack((x, y, np.ones_like(x)), axis=-1) @ back.T
    u, v = place[..., 0] / place[..., 2], place[..., 1] / place[..., 2]
    light = np.broadcast_to(camera(np.full(31, 0.82)), (SIDE, SIDE, 3)).copy()
    boxes = {**card.READ, **card.GREYS, **card.COLOURS}
    for name, patch in {**painted, **stuck}.items():
        box = boxes[name].scaled(card.WIDTH_MM, card.HEIGHT_MM)
        inside = (u >= box.left) & (u < box.right) & (v >= box.top) & (v < box.bottom)
        light[inside] = camera(CHART[patch])
    fall = np.exp(slope * (u - 0.5))[..., None] * np.exp(cast * (v - 0.5)[..., None] * np.array([1.0, 0.0, -1.0]))
    value = _encode(light * exposure * fall)
    value = np.clip(np.rint(value + np.random.default_rng(1).normal(0.0, noise, value.shape)), 0, 255)
    file = BytesIO()
    Image.fromarray(value.astype(np.uint8)).save(file, form, **({"quality": quality} if form == "JPEG" else {}))
    return file.getvalue()


def _errors(reading):
    return {field.name: float(difference(field.lab, LAB[PAINTED[field.name]])) for field in reading.fields}


@pytest.mark.parametrize(("form", "most"), [("PNG", 1.0), ("JPEG", 3.0)])
def test_known_colours_through_a_known_camera_come_back(form, most):
    """The camera is a matrix, so noise, 8 bits and the JPEG's coarser colour are all that is left."""
    reading = read_card_photo(_photo(form=form), LAYOUT)
    assert reading.doubts == ()
    assert "sums of its three channels, fitted to 8 references" in reading.corrected
    assert max(_errors(reading).values()) < most
    assert reading.residual < most / 2
    assert all(field.rough and field.sd >= 2.0 for field in reading.fields)


def test_light_that_falls_off_is_evened_out_by_the_bare_paper_and_said():
    reading = read_card_photo(_photo(slope=0.3), LAYOUT)
    assert [doubt.code for doubt in reading.doubts] == ["evened-out"]
    assert max(_errors(reading).values()) < 1.2


def _own_sensitivities(reflectance):
    """A camera whose sensitivities are three bells, so no matrix can make it an observer."""
    nm = np.arange(400.0, 701.0, 10.0)
    bells = np.stack([np.exp(-0.5 * ((nm - c) / w) ** 2) for c, w in ((600, 35), (540, 38), (460, 28))])
    return (bells / bells.sum(axis=1, keepdims=True)) @ reflectance


def test_what_a_camera_sees_otherwise_shows_in_the_residual():
    """Fields are wrong by about what the references left out in turn are wrong by: that is what it is for."""
    reading = read_card_photo(_photo(camera=_own_sensitivities), LAYOUT)
    errors = _errors(reading)
    assert 0.5 < reading.residual <= MOST_RESIDUAL
    assert np.mean(list(errors.values())) < 1.5 * reading.residual
    L, a, b = np.array([np.array(field.lab) - LAB[PAINTED[field.name]] for field in reading.fields]).T
    assert np.sqrt(np.mean([L**2, a**2, b**2])) < 1.5 * reading.fields[0].sd


HARD = ((0.16, 0.10), (0.90, 0.24), (0.97, 0.80), (0.04, 0.97))


def test_a_photo_in_poor_light_from_a_corner_is_read_and_its_residual_is_honest(monkeypatch):
    """From a corner, in light that falls off by a quarter, by a camera of its own, with noise, as a coarse JPEG."""
    monkeypatch.setattr(sys.modules[__name__], "CORNERS", HARD)
    photo = _photo(camera=_own_sensitivities, slope=0.3, noise=5.0, form="JPEG", quality=70)
    reading = read_card_photo(photo, replace(LAYOUT, corners=HARD))
    assert [doubt.code for doubt in reading.doubts] == ["evened-out"]
    errors = list(_errors(reading).values())
    assert 1.0 < reading.residual <= MOST_RESIDUAL
    assert np.mean(errors) < 1.5 * reading.residual
    assert max(errors) < 8.0
    assert all(field.rough and field.sd >= reading.residual for field in reading.fields)


def test_stray_light_is_taken_out_by_an_offset():
    """A veil of 2 % over the whole picture, as from a lens against a bright window."""

    def veiled(reflectance):
        return _camera(reflectance) + 0.02

    reading = read_card_photo(_photo(camera=veiled), LAYOUT)
    assert "sums of its three channels and an offset, fitted to 8 references" in reading.corrected
    assert max(_errors(reading).values()) < 1.0


def test_dark_fields_count_as_the_eye_counts_them():
    """Plain least squares in light would leave this black off by more than 8 CIEDE2000."""
    painted = {**PAINTED, card.MASSTONE: "black 2 (1.5 D)"}
    reading = read_card_photo(_photo(camera=_own_sensitivities, painted=painted), LAYOUT)
    assert difference(reading.fields[0].lab, LAB["black 2 (1.5 D)"]) < 3.0


def test_fewer_references_make_a_poorer_correction():
    five = replace(LAYOUT, references=LAYOUT.references[1:6])
    reading = read_card_photo(_photo(), five)
    assert "sums of its three channels, fitted to 5" in reading.corrected
    assert max(_errors(reading).values()) < 2.0
    grey = replace(LAYOUT, references=LAYOUT.references[:2])
    reading = read_card_photo(_photo(), grey)
    assert "a gain for each channel, fitted to 2" in reading.corrected
    assert reading.residual is None
    assert {field.sd for field in reading.fields} == {10.0}


def test_with_one_grey_and_no_paper_evenness_is_not_known():
    bare = replace(LAYOUT, references=LAYOUT.references[1:], paper=())
    reading = read_card_photo(_photo(), bare)
    assert [(doubt.code, doubt.severity) for doubt in reading.doubts] == [("evenness-unknown", Severity.NOTE)]


def _refused(photo, layout=LAYOUT):
    reading = read_card_photo(photo, layout)
    assert reading.fields == ()
    assert not reading.is_settled
    return reading.doubts[0].message


def test_an_overexposed_photo_is_refused():
    assert "too bright for the camera" in _refused(_photo(exposure=2.5))


def test_an_underexposed_photo_is_refused():
    assert "too dark in a channel, so" not in _refused(_photo(exposure=2.5))
    assert "too dark in a channel for the camera" in _refused(_photo(exposure=0.001))


def test_uneven_light_is_refused_with_and_without_bare_paper():
    assert "The light is uneven: the bare paper differs by" in _refused(_photo(slope=0.7))
    without = replace(LAYOUT, paper=())
    assert "The light is uneven: the grey differs by" in _refused(_photo(slope=0.3), without)


def test_two_kinds_of_light_are_refused():
    assert "Two kinds of light fall on the card" in _refused(_photo(cast=0.15))


def test_references_in_the_wrong_places_are_refused_with_the_residual():
    message = _refused(_photo(stuck={**STUCK, "Colour 1": "yellow", "Colour 2": "red", "Colour 4": "magenta"}))
    assert "The references come out wrong by" in message
    assert "at most 5" in message


def test_a_field_that_shines_is_refused_alone():
    painted = {name: patch for name, patch in PAINTED.items() if name != card.TINT_1_9}

    def shining(reflectance):
        return _camera(reflectance) * (1.6 if np.array_equal(reflectance, CHART["white 9.5 (.05 D)"]) else 1.0)

    reading = read_card_photo(_photo(camera=shining, painted={**painted, card.TINT_1_9: "white 9.5 (.05 D)"}), LAYOUT)
    by_name = {field.name: field for field in reading.fields}
    assert by_name[card.TINT_1_9].lab is None
    assert "too bright for the camera or shines" in by_name[card.TINT_1_9].doubts[0].message
    assert by_name[card.MASSTONE].lab is not None


@pytest.mark.parametrize(
    ("corners", "message"),
    [
        (((0.1, 0.1), (0.9, 0.1), (0.9, 0.9), (0.1, 1.2)), "must be four points inside the photo"),
        (((0.9, 0.1), (0.1, 0.1), (0.1, 0.9), (0.9, 0.9)), "not in the order upper left, upper right"),
        (((0.1, 0.1), (0.9, 0.9), (0.9, 0.1), (0.1, 0.9)), "not in the order"),
        (((0.1, 0.1), (0.2, 0.1), (0.2, 0.2), (0.1, 0.2)), "The card fills 1% of the photo"),
    ],
)
def test_wrong_corners_are_refused(corners, message):
    assert message in _refused(_photo(), replace(LAYOUT, corners=corners))


def test_a_tiny_photo_is_refused():
    file = BytesIO()
    Image.open(BytesIO(_photo())).resize((50, 50)).save(file, "PNG")
    assert "only a few pixels wide" in _refused(file.getvalue())


def test_files_that_are_no_colour_photo_are_refused():
    assert "no photo that can be read" in _refused(b"nm,Red\n400,0.1\n")
    assert "broken" in _refused(_photo(form="JPEG")[:2000])
    file = BytesIO()
    Image.open(BytesIO(_photo())).convert("L").save(file, "PNG")
    assert "is stored as L" in _refused(file.getvalue())


@pytest.mark.filterwarnings("ignore::PIL.Image.DecompressionBombWarning")
def test_a_photo_that_claims_to_be_huge_is_refused_before_it_is_opened():
    png = bytearray(_photo())
    assert png[12:16] == b"IHDR"
    png[16:24] = (60_000).to_bytes(4, "big") * 2
    png[29:33] = zlib.crc32(bytes(png[12:29])).to_bytes(4, "big")
    assert "more than 40000000 pixels" in _refused(bytes(png))
    png[16:24] = (10_000).to_bytes(4, "big") * 2
    png[29:33] = zlib.crc32(bytes(png[12:29])).to_bytes(4, "big")
    assert "is 10000 by 10000 pixels; at most 40000000" in _refused(bytes(png))


def test_a_layout_without_a_grey_or_with_a_false_one_is_refused():
    colours = tuple(reference for reference in LAYOUT.references if not reference.grey)
    assert "no known grey" in _refused(_photo(), replace(LAYOUT, references=colours))
    false = Reference("Grey 1", LAYOUT.references[0].box, (50.0, 20.0, 0.0), grey=True)
    assert "is said to be grey" in _refused(_photo(), replace(LAYOUT, references=(*colours, false)))


def test_a_photo_that_the_camera_stored_turned_is_turned_back():
    image = Image.open(BytesIO(_photo())).transpose(Image.Transpose.ROTATE_90)
    exif = Image.Exif()
    exif[0x0112] = 6  # to be turned clockwise by 90 degrees
    file = BytesIO()
    image.save(file, "PNG", exif=exif)
    assert max(_errors(read_card_photo(file.getvalue(), LAYOUT)).values()) < 1.0


def test_a_place_that_the_card_does_not_have_is_named():
    with pytest.raises(ValueError, match="no place called 'Colour 9'"):
        layout_of_card(CORNERS, {"Colour 9": (50.0, 0.0, 0.0)})


def test_no_places_of_the_card_overlap():
    boxes = [*card.PAINTED.values(), *card.GREYS.values(), *card.COLOURS.values(), *card.PAPER]
    for place, one in enumerate(boxes):
        assert 0 < one.left < one.right < card.WIDTH_MM
        assert 0 < one.top < one.bottom < card.HEIGHT_MM
        for other in boxes[place + 1 :]:
            assert (
                one.right <= other.left or other.right <= one.left or one.bottom <= other.top or other.bottom <= one.top
            )

"""Every sign has ink: an unread colour name would leave it blank without an error."""

import subprocess
from io import BytesIO

import numpy as np
import pytest
from reportlab.pdfgen.canvas import Canvas

from safety.printing.pictograms import Signs, UnknownSignError, alt_text, drawing
from safety.rules.classify import SIGNS
from tests.safety.printing.raster import pixels

SIDE = 200  # pixels


def raster(code, tmp_path, *options):
    """The sign alone on a page of 100 points, as an array of pixels by way of poppler."""
    file = BytesIO()
    canvas = Canvas(file, pagesize=(100, 100))
    signs = Signs(canvas)
    signs.store(code)
    signs.place(code, 0, 0, 100)
    canvas.save()
    path = tmp_path / f"{code}.pdf"
    path.write_bytes(file.getvalue())
    command = ["pdftoppm", "-scale-to", str(SIDE), *options, str(path)]
    image = subprocess.run(command, check=True, capture_output=True).stdout
    return pixels(image)


@pytest.mark.parametrize("code", SIGNS)
def test_each_sign_has_red_black_and_white(code, tmp_path):
    """UN GHS 1.4.10.4: a black symbol on white in a red frame, wide enough to be seen."""
    red, green, blue = np.moveaxis(raster(code, tmp_path), -1, 0)
    is_red = (red > 200) & (green < 60) & (blue < 60)
    is_black = (red < 60) & (green < 60) & (blue < 60)
    is_white = (red > 240) & (green > 240) & (blue > 240)
    assert is_red.mean() > 0.04
    assert is_black.mean() > 0.02
    # White inside the frame, at the inner corners of the diamond.
    assert is_white[SIDE // 2 - 60 : SIDE // 2 + 60, SIDE // 2 - 60 : SIDE // 2 + 60].mean() > 0.2


@pytest.mark.parametrize("code", SIGNS)
def test_each_sign_survives_a_black_and_white_copier(code, tmp_path):
    """After greys are cut to black or white at one half, frame and symbol are black and the ground is white."""
    black = raster(code, tmp_path, "-gray")[..., 0] < 128
    middle = SIDE // 2
    assert black[middle, : SIDE // 8].any()
    assert black[middle, -SIDE // 8 :].any()
    inside = black[middle - 60 : middle + 60, middle - 60 : middle + 60]
    assert 0.03 < inside.mean() < 0.8


def test_each_sign_has_words():
    assert len({alt_text(code) for code in SIGNS}) == 9
    assert alt_text("GHS02") == "Flame: flammable (GHS02)"


@pytest.mark.parametrize("unknown", ["GHS10", "ghs02", "", "../GHS02"])
def test_an_unknown_sign_is_refused_by_name(unknown):
    for function in (alt_text, drawing):
        with pytest.raises(UnknownSignError, match="is not a GHS sign"):
            function(unknown)

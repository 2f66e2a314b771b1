"""Pages as poppler draws them."""

import re

import numpy as np

_HEADER = re.compile(rb"P([56])\s+(\d+)\s+(\d+)\s+255\s")


def pixels(image):
    """Read a binary PPM or PGM image into an array (height, width, channels)."""
    header = _HEADER.match(image)
    assert header, "not a binary PPM or PGM image"
    channels = 3 if header.group(1) == b"6" else 1
    width, height = int(header.group(2)), int(header.group(3))
    return np.frombuffer(image[header.end() :], dtype=np.uint8).reshape(height, width, channels).astype(int)

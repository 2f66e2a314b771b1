"""What each thing that a painter can give of a paint is worth, and how to make a tint, in words for pages and cards."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True)
class Worth:
    """One step of knowledge. `pair_error` is the mean CIEDE2000 of mixtures of two paints, None where not measured.

    The figures compare what is recovered from so much with curves known in full, for 26 acrylics whose own curves were
    not used (our own computation); real mixtures differ from any such computation by 4 to 6 more.
    """

    key: str
    name: str
    what_it_gives: str
    pair_error: float | None = None
    then: str = ""
    """What to give next where nothing surer tells it; empty at the top."""


NOTHING = Worth(
    "",
    "Nothing known",
    "Neither its pigments nor its colour are known, so nothing is said about it.",
    then="its masstone and a weighed tint in white",
)
# Least first: each page shows a paint's step and what to give next.
ORDER: tuple[Worth, ...] = (
    Worth(
        "code",
        "Pigment code alone",
        "A typical curve of the pigment. Strength differs between makes two to three times, so mixtures "
        "worked out from it show a direction.",
        then="its masstone and a weighed tint in white",
    ),
    Worth(
        "masstone",
        "Masstone",
        "Its colour straight from the tube. Without the code, tints and mixtures with white cannot be told from it.",
        5.9,
        then="a weighed tint in white",
    ),
    Worth(
        "masstone-code",
        "Masstone and code",
        "The colour is right; tints are still off by about 4, because strength hardly shows in a masstone.",
        3.3,
        then="a weighed tint in white",
    ),
    Worth(
        "tint",
        "Masstone and a weighed 1:9 tint",
        "Strength and undertone are known. A tint tells more than the code does: add it first.",
        1.3,
        then="the pigment code from the tube",
    ),
    Worth(
        "tint-code",
        "Masstone, 1:9 tint and code",
        "Good for mixtures of two and for tints.",
        1.0,
        then="the other weighed tint, 1:1 or 1:9",
    ),
    Worth(
        "half",
        "The same and a weighed 1:1 tint",
        "A little better in strong mixtures.",
        0.7,
        then="a drawdown over black, with the white in the same film",
    ),
    Worth(
        "drawdown",
        "Masstone, 1:9 tint, code, and a drawdown over black",
        "Also how well it covers, if the thickness of the film is known.",
        0.5,
        then="spectra of masstone and tint",
    ),
    Worth(
        "spectrum",
        "Spectra of masstone and tint",
        "Absorption and scattering band by band, without guessing between colours. The file should say whether the "
        "specular component was included.",
    ),
)

HOW_TO_TINT: tuple[str, ...] = (
    "Weigh, do not judge by eye: paint first, then white on top of it on the same scale.",
    "1:1 is one part of paint to one of white; 1:9 is one part of paint to nine of white, by weight.",
    "With a scale that shows 0.1 g take 5 g of paint; 1 g needs a scale that shows 0.01 g.",
    "Use a titanium white (PW6) of the same binder, the same one for all your cards, and write down which.",
    "Mix until no streak shows when you draw the knife through it, and scrape the knife into the mixture.",
    "Paint it thick enough that the card does not show through; let it dry before you measure.",
)

WHY_WEIGH = (
    "A tint of 8 or 12.5 % taken for one of 10 % shifts the strength of every mixture worked out from it: mixtures "
    "with white were off by 2.0 instead of 0.5 CIEDE2000 in our computation."
)

HOW_TO_PHOTOGRAPH: tuple[str, ...] = (
    "Stick patches whose colours you know (measured, or sold with their L*, a*, b*) on the card: two of one grey, "
    "and as many others as you have, from vivid to dull.",
    "Lay the card flat by a window or under one kind of lamp, with no shadow and no shine, and look straight down.",
    "Expose so that the bare paper is light grey in the picture and not white. Use no filter and no night or portrait "
    "mode.",
    "A photo stays rough whatever you do: it is worth less than a measured colour.",
)

TINTS: tuple[tuple[int, int], ...] = ((1, 1), (1, 9))
PAINT_GRAMS: tuple[Decimal, ...] = (Decimal(1), Decimal(2), Decimal(5))


def white_to_weigh(paint_milligrams: int, paint_parts: int, white_parts: int) -> int:
    """Return the milligrams of white for so much paint, to the nearest milligram.

    ValueError for an amount or parts that are not above 0.
    """
    for name, value in (
        ("paint_milligrams", paint_milligrams),
        ("paint_parts", paint_parts),
        ("white_parts", white_parts),
    ):
        if value <= 0:
            raise ValueError(f"{name} must be above 0, not {value}")
    return (2 * paint_milligrams * white_parts + paint_parts) // (2 * paint_parts)

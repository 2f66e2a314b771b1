"""A paint's swatch and a tube's fill, drawn.

In Python, since a page of the shelf has fifty of each, and a hundred included templates took longer than all else on
it. Every value goes in through `format_html`, which escapes it.
"""

from typing import Any

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from inventory.queries.shelf import ShelfRow

register = template.Library()

SVG = """<span class="swatch{size}">
  <svg viewBox="0 0 88 48" role="img" aria-label="{words}">"""
NOT_KNOWN = (
    '<rect class="frame-line" x="8.5" y="8.5" width="71" height="31"/><text class="question" x="44" y="31">?</text>'
)
MAT = '<rect class="mat" width="88" height="48"/>'
BAR = '<rect class="bar" y="26" width="10" height="10"/>'
MASSTONE = '<rect x="8" y="8" width="36" height="32" fill="{masstone}"/>'
OVER_BLACK = '<rect x="8" y="26" width="36" height="10" fill="{over_black}"/>'
TINT = '<rect x="44" y="8" width="36" height="32" fill="{tint}"/>'
HATCH = '<path class="mat" d="M66 8h14v14z"/><path class="hatch" d="M66 8l14 14M70 8l10 10M74 8l6 6M78 8l2 2"/>'
ESTIMATED = '<span class="swatch-word" aria-hidden="true">estimated</span>'


@register.simple_tag
def swatch(colours: dict[str, Any] | None, name: str = "", size: str = "") -> SafeString:
    """Masstone left, 1:9 tint right; what a transparent paint looks like over black, on the bar."""
    words = f"{name}: " if name else ""
    size = f" swatch-{size}" if size else ""
    if not colours or not colours["masstone"]:
        return format_html(SVG + NOT_KNOWN + "</svg></span>", size=size, words=f"{words}colour not known")
    over_black, tint, estimated = colours["over_black"], colours["tint"], colours["origin"] != "measured"
    words += "masstone left, tint with nine parts of white right" if tint else "masstone"
    parts = (
        (SVG + MAT, True),
        (BAR, over_black),
        (MASSTONE, True),
        (OVER_BLACK, over_black),
        (TINT, tint),
        (HATCH, estimated),
        ("</svg>", True),
        (ESTIMATED, estimated),
        ("</span>", True),
    )
    return format_html(
        "".join(part for part, shown in parts if shown),
        size=size,
        words=f"{words}, estimated" if estimated else words,
        masstone=colours["masstone"],
        over_black=over_black,
        tint=tint,
    )


LEFT = """<span class="left{large}">
  <svg viewBox="0 0 128 32" aria-hidden="true">
    <rect class="tube-rest" x="{start}" y="5" width="{percent}" height="22"/>
    <path class="tube-line" d="M1 1h6v30H1zM7 4h101v24H7zM108 4l6 6v12l-6 6M114 9h12v14h-12z"/>
  </svg>
  <span class="left-words">{about}<span class="num">{amount}</span>
    <span class="quiet">of <span class="num">{size}</span></span></span>
</span>"""


@register.simple_tag
def left(row: ShelfRow, large: bool = False) -> SafeString:
    """What is left in a tube, drawn and in figures. The rest lies at the cap, in a body that reaches from 8 to 107."""
    return format_html(
        LEFT,
        large=" left-large" if large else "",
        start=107 - row.percent,
        percent=row.percent,
        about="about " if row.balance_is_estimate else "",
        amount=row.amount,
        size=row.size,
    )

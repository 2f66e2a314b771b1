"""Estimates with the digits that they are worth."""

import re

from django import template

from safety.rules.air_check import figure

register = template.Library()
register.filter("figure", figure)

_SIGNS = {"ug": "µg", "um": "µm", "m3": "m³"}


@register.filter
def units(text: str) -> str:
    """The tables write their units in plain letters (ug/m3, um); a page has the signs."""
    for written, shown in _SIGNS.items():
        text = re.sub(rf"\b{written}\b", shown, text)
    return text

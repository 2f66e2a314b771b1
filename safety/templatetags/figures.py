"""Estimates with the digits that they are worth, units with their signs, metals by their names."""

import re

from django import template

from safety.rules.air_check import figure
from safety.rules.metals import METALS

register = template.Library()
register.filter("figure", figure)

_SIGNS = {"ug": "µg", "um": "µm", "m3": "m³"}


@register.filter
def units(text: str) -> str:
    """The tables write their units in plain letters (ug/m3, um); a page has the signs."""
    for written, shown in _SIGNS.items():
        text = re.sub(rf"\b{written}\b", shown, text)
    return text


@register.filter
def metal(symbol: str) -> str:
    return METALS[symbol].name if symbol in METALS else symbol

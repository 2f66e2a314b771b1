"""Estimates with the digits that they are worth."""

from django import template

from safety.rules.air_check import figure

register = template.Library()
register.filter("figure", figure)

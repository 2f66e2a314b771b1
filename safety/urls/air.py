"""Screening of solvent in a room's air, and exports for an office."""

from django.urls.resolvers import URLPattern

urlpatterns: list[URLPattern] = []

"""Screening of solvent in a room's air, and exports for an office."""

from django.urls import path

from safety.views import air

urlpatterns = [
    path("air-check/", air.check, name="air_check"),
]

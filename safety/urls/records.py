"""Inspections, waste, training, incidents, the calendar."""

from django.urls.resolvers import URLPattern

urlpatterns: list[URLPattern] = []

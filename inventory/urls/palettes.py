"""Palettes, temperature and value, mixing charts."""

from django.urls.resolvers import URLPattern

urlpatterns: list[URLPattern] = []

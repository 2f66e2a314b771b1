"""Stocktakes, labels and barcodes of containers."""

from django.urls.resolvers import URLPattern

urlpatterns: list[URLPattern] = []

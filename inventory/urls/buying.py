"""Suppliers, offers, what is wanted, orders, and advice on what to order."""

from django.urls.resolvers import URLPattern

urlpatterns: list[URLPattern] = []

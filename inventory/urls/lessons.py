"""Lessons, terms, groups and what students bring."""

from django.urls.resolvers import URLPattern

urlpatterns: list[URLPattern] = []

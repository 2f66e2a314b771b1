"""Looking for things, histories, and edits of many rows."""

from django.urls.resolvers import URLPattern

urlpatterns: list[URLPattern] = []

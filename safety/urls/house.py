"""House rules, rooms, and who may use what."""

from django.urls.resolvers import URLPattern

urlpatterns: list[URLPattern] = []

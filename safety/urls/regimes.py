"""What each regime says, and handling levels."""

from django.urls.resolvers import URLPattern

urlpatterns: list[URLPattern] = []

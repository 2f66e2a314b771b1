"""Window tests and works that may fade."""

from django.urls.resolvers import URLPattern

urlpatterns: list[URLPattern] = []

"""Everything that is printed beside the notices, and what hangs where."""

from django.urls.resolvers import URLPattern

urlpatterns: list[URLPattern] = []

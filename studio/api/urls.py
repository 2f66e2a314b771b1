"""Addresses below /api/; what each app adds stands in studio/urls.py."""

from django.urls import path
from drf_spectacular.views import SpectacularJSONAPIView

from studio.api import today, views

urlpatterns = [
    path("", views.Front.as_view(), name="api_front"),
    path("token/", views.SignIn.as_view(), name="api_token"),
    path("schema/", SpectacularJSONAPIView.as_view(), name="api_schema"),
    path("s/<slug:studio>/", views.StudioFacts.as_view(), name="api_studio"),
    path("s/<slug:studio>/members/", views.Members.as_view(), name="api_members"),
    path("s/<slug:studio>/attention/", today.AttentionView.as_view(), name="api_attention"),
]

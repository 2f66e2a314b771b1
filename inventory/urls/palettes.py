"""Palettes, temperature and value, mixing charts."""

from django.urls import path
from django.urls.resolvers import URLPattern

from inventory.views import palettes as views

PALETTE = "palettes/<int:pk>"

urlpatterns: list[URLPattern] = [
    path("palettes/", views.palettes, name="palettes"),
    path("palettes/design/", views.design, name="palette_design"),
    path("palettes/new/", views.new, name="palette_new"),
    path(f"{PALETTE}/", views.palette, name="palette"),
    path(f"{PALETTE}/change/", views.change, name="palette_change"),
    path(f"{PALETTE}/remove/", views.remove, name="palette_remove"),
    path(f"{PALETTE}/bring-back/", views.bring_back, name="palette_bring_back"),
    path(f"{PALETTE}/temperature/", views.temperature, name="palette_temperature"),
    path(f"{PALETTE}/neutrals/", views.neutrals, name="palette_neutrals"),
    path(f"{PALETTE}/layers/", views.layers, name="palette_layers"),
    path(f"{PALETTE}/chart/", views.chart, name="palette_chart"),
    path(f"{PALETTE}/chart.pdf", views.chart_pdf, name="palette_chart_pdf"),
]

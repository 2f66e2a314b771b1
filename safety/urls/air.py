"""Screening of solvent in a room's air, and exports for an office."""

from django.urls import path

from safety.views import air, exports

urlpatterns = [
    path("air-check/", air.check, name="air_check"),
    path("exports/", exports.exports, name="exports"),
    path("exports/new/", exports.export_new, name="export_new"),
    path("exports/<int:pk>/", exports.export, name="export"),
    path("exports/<int:pk>/file/", exports.export_file, name="export_file"),
    path("exports/<int:pk>/change/", exports.export_change, name="export_change"),
    path("exports/<int:pk>/remove/", exports.export_remove, name="export_remove"),
]

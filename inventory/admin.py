"""The admin shows everything; the ledger and the reference rows only to be read."""

from typing import Any

from django.contrib import admin
from django.http import HttpRequest

from inventory import models


class ReadOnlyAdmin(admin.ModelAdmin):
    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False


@admin.register(models.Entry)
class EntryAdmin(ReadOnlyAdmin):
    list_display = ("at", "studio", "tube", "kind", "change_milli", "by")
    list_filter = ("studio", "kind")
    list_select_related = ("studio", "tube__item", "by")


@admin.register(models.Tube)
class TubeAdmin(ReadOnlyAdmin):
    list_display = ("number", "studio", "item", "state", "balance")
    list_filter = ("studio", "state")
    list_select_related = ("studio", "item")


@admin.register(models.Pigment)
class PigmentAdmin(ReadOnlyAdmin):
    list_display = ("ci_name", "ci_number", "common_names", "metals", "source", "confidence")
    search_fields = ("ci_name", "common_names")


@admin.register(models.OpticalRow)
class OpticalRowAdmin(ReadOnlyAdmin):
    list_display = ("pigment", "name", "family", "source", "confidence")
    list_select_related = ("pigment",)


@admin.register(models.Measurement)
class MeasurementAdmin(ReadOnlyAdmin):
    list_display = ("at", "paint", "kind", "text", "rough", "by", "withdrawn_at")
    list_filter = ("paint__studio", "kind", "way")
    list_select_related = ("paint", "by")


@admin.register(models.PaintCurve)
class PaintCurveAdmin(ReadOnlyAdmin):
    list_display = ("paint", "state", "basis", "origin", "worst_fit", "computed_at")
    list_filter = ("paint__studio", "state")
    list_select_related = ("paint",)
    exclude = ("curve", "draws")


@admin.register(models.Place)
class PlaceAdmin(admin.ModelAdmin):
    list_display = ("name", "studio")
    list_filter = ("studio",)

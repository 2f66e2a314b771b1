"""The admin shows the safety record only to be read: reference rows come from tables, records from the pages."""

from django.contrib import admin

from inventory.admin import ReadOnlyAdmin
from safety import models


@admin.register(models.HazardFact)
class HazardFactAdmin(ReadOnlyAdmin):
    list_display = ("substance", "regime", "classification", "h_codes", "ci_names", "source", "confidence")
    list_filter = ("regime", "confidence")
    search_fields = ("substance", "cas", "ci_names", "h_codes")


@admin.register(models.Limit)
class LimitAdmin(ReadOnlyAdmin):
    list_display = ("topic", "figure", "unit", "basis", "jurisdiction", "citation", "confidence")
    list_filter = ("jurisdiction", "confidence")
    search_fields = ("topic",)


@admin.register(models.Statement)
class StatementAdmin(ReadOnlyAdmin):
    list_display = ("code", "phrase_plain", "hazard_class", "category", "signal_word", "pictogram", "source")
    list_filter = ("kind", "confidence")
    search_fields = ("code", "phrase_plain")


@admin.register(models.DataSheet)
class DataSheetAdmin(ReadOnlyAdmin):
    list_display = ("product", "item", "revised_on", "read_on", "by", "withdrawn_at")
    list_select_related = ("item", "by")


@admin.register(models.LabelStatement)
class LabelStatementAdmin(ReadOnlyAdmin):
    list_display = ("item", "text", "h_codes", "read_on", "by", "withdrawn_at")
    list_select_related = ("item", "by")


@admin.register(models.Notice)
class NoticeAdmin(ReadOnlyAdmin):
    list_display = ("kind", "item", "room", "studio", "fingerprint", "made_at", "made_by")
    list_filter = ("studio",)
    list_select_related = ("item", "room", "studio", "made_by")


@admin.register(models.Posting)
class PostingAdmin(ReadOnlyAdmin):
    list_display = ("notice", "room", "where", "hung_at", "hung_by", "taken_down_at", "taken_down_by")
    list_filter = ("studio",)
    list_select_related = ("notice__item", "notice__room", "notice__palette", "room", "hung_by", "taken_down_by")

"""Addresses below /api/s/<studio>/, and the reference tables below /api/."""

from django.urls import path

from safety.api import items, labels, notices, postings, prints, sheets
from safety.api import reference as tables

urlpatterns = [
    path("items/<int:pk>/safety/", items.ItemSafety.as_view(), name="api_item_safety"),
    path("items/<int:pk>/sheets/", sheets.ItemSheets.as_view(), name="api_item_sheets"),
    path("items/<int:pk>/label-words/", labels.ItemLabelWords.as_view(), name="api_item_label_words"),
    path("items/<int:pk>/notices/", notices.ItemNotices.as_view(), name="api_item_notices"),
    path("sheets/<int:pk>/file/", sheets.SheetFiles.as_view(), name="api_sheet_file"),
    path("sheets/<int:pk>/looked-again/", sheets.SheetLookedAgain.as_view(), name="api_sheet_looked"),
    path("sheets/<int:pk>/printed-so/", sheets.SheetPrintedSo.as_view(), name="api_sheet_printed_so"),
    path("sheets/<int:pk>/withdraw/", sheets.WithdrawSheet.as_view(), name="api_sheet_withdraw"),
    path("label-words/<int:pk>/withdraw/", labels.WithdrawLabelWords.as_view(), name="api_label_words_withdraw"),
    path("notices/", notices.Notices.as_view(), name="api_notices"),
    path("notices/book/", prints.BookPdf.as_view(), name="api_notices_book"),
    path("notices/<int:pk>/pdf/", prints.NoticePdf.as_view(), name="api_notice_pdf"),
    path("notices/<int:pk>/hang/", postings.HangNotice.as_view(), name="api_notice_hang"),
    path("postings/", postings.Postings.as_view(), name="api_postings"),
    path("postings/<int:pk>/replace/", postings.ReplacePosting.as_view(), name="api_posting_replace"),
    path("postings/<int:pk>/take-down/", postings.TakeDownPosting.as_view(), name="api_posting_take_down"),
]

# The same for every studio.
reference = [
    path("statements/", tables.Statements.as_view(), name="api_statements"),
    path("hazards/", tables.Hazards.as_view(), name="api_hazards"),
    path("limits/", tables.Limits.as_view(), name="api_limits"),
]

"""Addresses below /api/s/<studio>/, and the reference tables below /api/."""

from django.urls import path

from safety import api

urlpatterns = [
    path("items/<int:pk>/safety/", api.ItemSafety.as_view(), name="api_item_safety"),
    path("items/<int:pk>/sheets/", api.ItemSheets.as_view(), name="api_item_sheets"),
    path("items/<int:pk>/label-words/", api.ItemLabelWords.as_view(), name="api_item_label_words"),
    path("items/<int:pk>/notices/", api.ItemNotices.as_view(), name="api_item_notices"),
    path("sheets/<int:pk>/file/", api.SheetFiles.as_view(), name="api_sheet_file"),
    path("sheets/<int:pk>/looked-again/", api.SheetLookedAgain.as_view(), name="api_sheet_looked"),
    path("sheets/<int:pk>/printed-so/", api.SheetPrintedSo.as_view(), name="api_sheet_printed_so"),
    path("sheets/<int:pk>/withdraw/", api.WithdrawSheet.as_view(), name="api_sheet_withdraw"),
    path("label-words/<int:pk>/withdraw/", api.WithdrawLabelWords.as_view(), name="api_label_words_withdraw"),
    path("notices/", api.Notices.as_view(), name="api_notices"),
    path("notices/book/", api.BookPdf.as_view(), name="api_notices_book"),
    path("notices/<int:pk>/pdf/", api.NoticePdf.as_view(), name="api_notice_pdf"),
    path("notices/<int:pk>/hang/", api.HangNotice.as_view(), name="api_notice_hang"),
    path("postings/", api.Postings.as_view(), name="api_postings"),
    path("postings/<int:pk>/replace/", api.ReplacePosting.as_view(), name="api_posting_replace"),
    path("postings/<int:pk>/take-down/", api.TakeDownPosting.as_view(), name="api_posting_take_down"),
]

# The same for every studio.
reference = [
    path("statements/", api.Statements.as_view(), name="api_statements"),
    path("hazards/", api.Hazards.as_view(), name="api_hazards"),
    path("limits/", api.Limits.as_view(), name="api_limits"),
]

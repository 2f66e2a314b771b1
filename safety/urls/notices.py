from django.urls import path

from safety.views import items, notices, sheets

urlpatterns = [
    path("notices/", notices.notices, name="notices"),
    path("notices/make/", notices.make_all, name="make_all"),
    path("notices/book.pdf", notices.book_pdf, name="book_pdf"),
    path("health-questions/<slug:concern>/", notices.health_question, name="health_question"),
    path("notices/<int:pk>.pdf", notices.notice_pdf, name="notice_pdf"),
    path("notices/<int:pk>/hang/", notices.hang, name="hang"),
    path("items/<int:pk>/safety/", items.item, name="item"),
    path("items/<int:pk>/safety/notice/", items.make, name="make"),
    path("items/<int:pk>/safety/sheets/new/", sheets.sheet_add, name="sheet_add"),
    path("items/<int:pk>/safety/label/new/", items.label_add, name="label_add"),
    path("sheets/", sheets.sheets, name="sheets"),
    path("sheets/<int:pk>/file/", sheets.sheet_file, name="sheet_file"),
    path("sheets/<int:pk>/looked-again/", sheets.sheet_looked, name="sheet_looked"),
    path("sheets/<int:pk>/printed-so/", sheets.sheet_printed_so, name="sheet_printed_so"),
    path("sheets/<int:pk>/withdraw/", items.sheet_withdraw, name="sheet_withdraw"),
    path("label-words/<int:pk>/withdraw/", items.label_withdraw, name="label_withdraw"),
]

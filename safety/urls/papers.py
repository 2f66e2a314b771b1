"""Everything that is printed beside the notices, and what hangs where."""

from django.urls import path

from safety.models import PaperKind
from safety.views import classes, papers, postings

POSTER, DOOR = {"kind": PaperKind.POSTER.value}, {"kind": PaperKind.DOOR.value}

urlpatterns = [
    path("papers/", papers.papers, name="papers"),
    path("papers/data-sheets.pdf", papers.index_pdf, name="index_pdf"),
    path("papers/jar-label/", papers.jar_label, name="jar_label"),
    path("items/<int:pk>/notice-now.pdf", papers.notice_now_pdf, name="notice_now_pdf"),
    path("rooms/<int:pk>/poster.pdf", papers.room_pdf, POSTER, name="poster_pdf"),
    path("rooms/<int:pk>/poster/hang/", papers.room_hang, POSTER, name="poster_hang"),
    path("rooms/<int:pk>/door.pdf", papers.room_pdf, DOOR, name="door_pdf"),
    path("rooms/<int:pk>/door/hang/", papers.room_hang, DOOR, name="door_hang"),
    path("palettes/<int:pk>/class.pdf", papers.palette_pdf, name="palette_pdf"),
    path("palettes/<int:pk>/class/hang/", papers.palette_hang, name="palette_hang"),
    path("lessons/<int:pk>/caution.pdf", classes.lesson_pdf, name="lesson_pdf"),
    path("groups/<int:pk>/may-use.pdf", papers.group_pdf, name="group_pdf"),
    path("groups/<int:pk>/may-use/hang/", papers.group_hang, name="group_hang"),
    path("rules-versions/<int:pk>/sign-off.pdf", papers.sign_off_pdf, name="sign_off_pdf"),
    path("waste/<int:pk>/tag.pdf", papers.waste_tag_pdf, name="waste_tag_pdf"),
    path("postings/", postings.postings, name="postings"),
    path("postings/<int:pk>/room/", postings.put_in_room, name="posting_room"),
    path("postings/<int:pk>/replace/", postings.replace, name="posting_replace"),
    path("postings/<int:pk>/take-down/", postings.take_down, name="posting_take_down"),
]

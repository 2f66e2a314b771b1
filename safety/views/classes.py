"""The class page of one lesson: who may not use what is set out, what to wear, where rags go, every caution."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from inventory.models import Item, Lesson
from safety.printing import papers as printed
from safety.queries import papers as rows
from safety.views.papers import absolute, as_pdf, paper_asked
from studio.access import StudioRequest, in_studio, within


@require_safe
@in_studio()
def lesson_pdf(request: StudioRequest, pk: int) -> HttpResponse:
    """What is set out for a lesson, in its room and for its group, as it is now.

    A lesson without a room is held where its tubes are taken from; if that is in no room either, every room is told.
    """
    paper = paper_asked(request)
    lessons = within(Lesson.objects, request.studio).select_related("group", "room", "place__room")
    lesson = get_object_or_404(lessons, pk=pk)
    wanted = Item.objects.filter(lesson_lines__lesson=lesson, archived_at=None).order_by("lesson_lines__pk")
    day = timezone.localdate(lesson.starts_at)
    page = absolute(request, reverse("inventory:lesson", args=[request.studio.slug, lesson.pk]))
    made = rows.class_page(
        request.studio,
        wanted,
        lesson.group,
        f"{lesson.title}, {day:%-d %B %Y}",
        room=lesson.room or (lesson.place.room if lesson.place else None),
        page_url=page,
    )
    return as_pdf(printed.render(made, page_size=paper), f"{slugify(lesson.title)[:60] or 'lesson'}-caution")

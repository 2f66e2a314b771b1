"""What is read of lessons: the list, one lesson, the supply list."""

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from inventory.forms.lessons import KeepForm, ReasonForm, RepeatForm
from inventory.models import Lesson, Term
from inventory.models.lesson import LessonState
from inventory.printing import supply_list as printed
from inventory.queries.lessons import lists
from inventory.queries.lessons.checked import lacks, lesson_now, lessons_of
from inventory.queries.lessons.palettes import laid_of
from inventory.queries.lessons.supplies import supply_list
from inventory.queries.lessons.used import corrected_since
from inventory.views.palettes import printed_chart
from inventory.views.wheel import patient
from studio import access
from studio.access import StudioRequest
from studio.models import Role
from studio.printing.paper import PAPERS, papers_for, usual_paper

PAGE = 30


def found(request: StudioRequest, pk: int) -> Lesson:
    """The lesson of this studio with all that its pages show; 404 where there is none."""
    return get_object_or_404(lessons_of(request.studio), pk=pk)


def rights(request: StudioRequest) -> dict[str, bool]:
    return {
        "may_write": request.membership.may(Role.MEMBER),
        "may_plan": request.membership.may(Role.TEACHER),
        "may_decide": request.membership.may(Role.KEEPER),
    }


def refuse_on(form: forms.Form, error: ValidationError) -> None:
    """Show what a service refused beside the field that it names, or above the form."""
    if not hasattr(error, "error_dict"):
        form.add_error(None, ValidationError(error.messages))
        return
    for field, errors in error.error_dict.items():
        form.add_error(field if field in form.fields else None, ValidationError(errors))


@require_safe
@access.in_studio()
def lessons(request: StudioRequest) -> HttpResponse:
    """The lessons to come, the next one first, and those behind."""
    asked = request.GET.get("term", "")
    known = Term.objects.filter(studio=request.studio)
    term = get_object_or_404(known, pk=int(asked)) if asked.isdecimal() and len(asked) < 19 else None
    page = Paginator(lists.not_to_come(request.studio, term), PAGE).get_page(request.GET.get("page"))
    coming = lists.to_come(request.studio, term)
    context = {
        "coming": lists.rows_of(coming),
        "lacks": lacks(request.studio, coming),
        "page": page,
        "behind": lists.rows_of(lists.as_they_are(list(page))),
        "terms": known,
        "term": term,
        **rights(request),
    }
    return render(request, "inventory/lessons/list.html", context)


@require_safe
@access.in_studio()
def lesson(request: StudioRequest, pk: int) -> HttpResponse:
    return page_of(request, found(request, pk))


def page_of(request: StudioRequest, one: Lesson, **wrong: forms.Form) -> HttpResponse:
    """The page of a lesson, with the form that was refused where one was."""
    now = lesson_now(request.studio, one)
    context = {
        "now": now,
        "lesson": one,
        "brought_count": one.brought.count(),
        "repeat": RepeatForm(),
        "reason": ReasonForm(),
        "keep": KeepForm(initial={"name": one.title}),
        "may_keep": now.set_out and one.palette_id is None and len(now.binders) == 1,
        "is_planned": one.state == LessonState.PLANNED,
        "has_come": timezone.localdate(one.starts_at) <= timezone.localdate(),
        "is_held": one.state == LessonState.HELD,
        "corrected": corrected_since(one) if one.state == LessonState.HELD else [],
        "wrong": next(iter(wrong.values()), None),
        **wrong,
        **rights(request),
    }
    return render(request, "inventory/lessons/lesson.html", context, status=422 if wrong else 200)


@require_safe
@access.in_studio()
@patient
def chart_pdf(request: StudioRequest, pk: int) -> HttpResponse:
    """The mixing chart of what this lesson sets out in one binder, whether or not it came from a palette."""
    one = found(request, pk)
    problem = ""
    try:
        laid = laid_of(request.studio, lesson_now(request.studio, one), request.GET.get("binder", ""))
    except ValueError as error:
        problem = str(error)
    else:
        if not laid.known:
            why = " ".join(f"{paint.name}: {paint.reason}" for paint in laid.unknown)
            problem = f"No paint of known colour is set out, so there is no chart to print. {why}"
    if problem:
        messages.error(request, problem.strip())
        return redirect("inventory:lesson", request.studio.slug, pk)
    paper = request.GET.get("paper", "")
    size = paper if paper in PAPERS else usual_paper(request.studio.jurisdiction)
    return printed_chart(request, str(one), laid, size)


@require_safe
@access.in_studio()
def supplies(request: StudioRequest, pk: int) -> HttpResponse:
    one = found(request, pk)
    sizes = papers_for(request.studio.jurisdiction)
    content = supply_list(request.studio, lesson_now(request.studio, one))
    return render(
        request, "inventory/lessons/supplies.html", {"lesson": one, "list": content, "sizes": sizes, **rights(request)}
    )


@require_safe
@access.in_studio()
def supplies_pdf(request: StudioRequest, pk: int) -> HttpResponse:
    one = found(request, pk)
    paper = request.GET.get("paper", "")
    content = supply_list(request.studio, lesson_now(request.studio, one))
    data = printed.render(content, page_size=paper if paper in PAPERS else usual_paper(request.studio.jurisdiction))
    response = HttpResponse(data, content_type="application/pdf")
    name = slugify(one.course or one.title)[:60] or "lesson"
    response["Content-Disposition"] = f'inline; filename="{name}-supplies.pdf"'
    response["Cache-Control"] = "no-store"
    # A PDF holds nothing that the policy could stop, and "object-src 'none'" stops some browsers from showing it.
    response._csp_exempt = True  # type: ignore[attr-defined]  # as django-csp's own decorator does
    return response

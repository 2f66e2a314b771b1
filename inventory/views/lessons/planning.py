"""A lesson is planned, changed, repeated, called off."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from inventory.forms.lessons import KeepForm, LessonForm, ReasonForm, RepeatForm
from inventory.models import Lesson, Palette, Term
from inventory.services import lessons as services
from inventory.views.lessons.pages import found, page_of, refuse_on
from studio import access
from studio.access import StudioRequest
from studio.models import Role


@require_http_methods(["GET", "POST"])
@access.in_studio(Role.TEACHER)
def lesson_add(request: StudioRequest) -> HttpResponse:
    form = LessonForm(request.POST or None, studio=request.studio, initial=_first(request))
    if form.is_valid():
        already = form.cleaned_data["held_already"]
        try:
            made = services.plan(request.studio, form.plan(), by=request.user, held_already=already)
        except ValidationError as error:
            refuse_on(form, error)
        else:
            messages.success(request, f"{made} is planned.")
            has_paints = made.paints.exists()
            if already and has_paints:
                return redirect("inventory:lesson_record", request.studio.slug, made.pk)
            if not has_paints and not made.students_bring:
                return redirect("inventory:lesson_paints", request.studio.slug, made.pk)
            return redirect("inventory:lesson", request.studio.slug, made.pk)
    context = {"form": form, "title": "Plan a lesson", "action": "Plan it"}
    return render(request, "inventory/lessons/form.html", context, status=422 if form.errors else 200)


def _first(request: StudioRequest) -> dict[str, object]:
    """What most likely holds: the teacher who plans, the term that runs, the palette that they come from."""
    today = timezone.localdate()
    running = Term.objects.filter(studio=request.studio, starts_on__lte=today, ends_on__gte=today).first()
    asked = request.GET.get("palette", "")
    known = Palette.objects.filter(studio=request.studio, removed_at=None)
    palette = known.filter(pk=int(asked)).first() if asked.isdecimal() and len(asked) < 19 else None
    return {
        **_as_before(palette),
        "teacher": request.user.pk,
        "term": running.pk if running else None,
        "palette": palette.pk if palette else None,
        "group": palette.group_id if palette else None,
        "title": palette.name if palette else "",
    }


def _as_before(palette: Palette | None) -> dict[str, object]:
    """For how many the palette was designed, and where and at what time its group was taught last."""
    if palette is None:
        return {}
    people = str(palette.asked.get("people", "")) if isinstance(palette.asked, dict) else ""
    first: dict[str, object] = {"students": people} if people.isdecimal() else {}
    if palette.group_id is None:
        return first
    last = Lesson.objects.filter(studio=palette.studio_id, group=palette.group_id).order_by("starts_at").last()
    if last is None:
        return first
    known = LessonForm.initial_of(last)
    return {name: known[name] for name in ("time", "minutes", "room", "place")} | first


@require_http_methods(["GET", "POST"])
@access.in_studio(Role.TEACHER)
def lesson_change(request: StudioRequest, pk: int) -> HttpResponse:
    one = found(request, pk)
    form = LessonForm(request.POST or None, studio=request.studio, lesson=one, initial=LessonForm.initial_of(one))
    if form.is_valid():
        try:
            services.change(one, form.plan())
        except ValidationError as error:
            refuse_on(form, error)
        else:
            messages.success(request, "The lesson is changed.")
            return redirect("inventory:lesson", request.studio.slug, pk)
    context = {"form": form, "lesson": one, "title": f"Change {one}", "action": "Change it"}
    return render(request, "inventory/lessons/form.html", context, status=422 if form.errors else 200)


@require_POST
@access.in_studio(Role.TEACHER)
def keep(request: StudioRequest, pk: int) -> HttpResponse:
    one = found(request, pk)
    form = KeepForm(request.POST)
    if form.is_valid():
        try:
            palette = services.keep_as_palette(one, name=form.cleaned_data["name"], by=request.user)
        except ValidationError as error:
            refuse_on(form, error)
        else:
            messages.success(request, f"Kept as the palette {palette}.")
            return redirect("inventory:lesson", request.studio.slug, pk)
    return page_of(request, one, keep=form)


@require_POST
@access.in_studio(Role.TEACHER)
def repeat(request: StudioRequest, pk: int) -> HttpResponse:
    one = found(request, pk)
    form = RepeatForm(request.POST)
    if form.is_valid():
        try:
            made, left_out = services.repeat(one, weeks=form.cleaned_data["weeks"], by=request.user)
        except ValidationError as error:
            refuse_on(form, error)
        else:
            _tell(request, made, left_out)
            return redirect("inventory:lesson", request.studio.slug, pk)
    return page_of(request, one, repeat=form)


def _tell(request: StudioRequest, made: list[Lesson], left_out: list[str]) -> None:
    if made:
        last = timezone.localdate(made[-1].starts_at)
        more = f"{len(made)} more lesson{'' if len(made) == 1 else 's'}"
        messages.success(request, f"{more} of this course, the last on {last:%-d %B %Y}.")
    if left_out:
        messages.warning(request, f"Left out: {'; '.join(left_out)}.")


@require_POST
@access.in_studio(Role.TEACHER)
def call_off(request: StudioRequest, pk: int) -> HttpResponse:
    one = found(request, pk)
    form = ReasonForm(request.POST)
    if form.is_valid():
        try:
            services.call_off(one, reason=form.cleaned_data["reason"])
        except ValidationError as error:
            refuse_on(form, error)
        else:
            messages.success(request, f"{one} is called off; it takes nothing from stock any more.")
            return redirect("inventory:lesson", request.studio.slug, pk)
    return page_of(request, one, reason=form)


@require_POST
@access.in_studio(Role.TEACHER)
def uncancel(request: StudioRequest, pk: int) -> HttpResponse:
    one = found(request, pk)
    try:
        services.uncancel(one)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, f"{one} is planned again.")
    return redirect("inventory:lesson", request.studio.slug, pk)

"""What may fade: stocks and works that rest on it, and the studio's own tests in the window."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.forms import Form
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.forms.lasting import EndForm, ReadingForm, TestForm, WorkForm
from inventory.models import LightTest, Work
from inventory.queries import lasting as rows
from inventory.queries import window_tests as tests
from inventory.services import lasting as services
from studio.access import StudioRequest, in_studio, require
from studio.models import Role

A_PAGE = 30
FIRST_UNKNOWN = 60


def _refuse(form: Form, error: ValidationError) -> None:
    for field, errors in error.error_dict.items():
        form.add_error(field if field in form.fields else None, ValidationError(errors))


@require_safe
@in_studio()
def lasting(request: StudioRequest) -> HttpResponse:
    """Stocks that may fade, each scale for itself, and what is not known."""
    watch = rows.watched(request.studio)
    context = {
        "watch": watch,
        "unknown": watch.unknown[:FIRST_UNKNOWN],
        "more_unknown": max(0, len(watch.unknown) - FIRST_UNKNOWN),
        "tests": LightTest.objects.filter(paint__studio=request.studio, withdrawn_at=None).count(),
        "works": Work.objects.filter(studio=request.studio, removed_at=None).count(),
    }
    return render(request, "inventory/lasting/watch.html", context)


# Works


@require_http_methods(["GET", "POST"])
@in_studio()
def works(request: StudioRequest) -> HttpResponse:
    """The works that are watched, and a form for another."""
    may_write = request.membership.may(Role.MEMBER)
    if request.method == "POST":
        require(request.membership, Role.MEMBER)
    form = WorkForm(request.POST or None, studio=request.studio) if may_write else None
    if form is not None and form.is_valid():
        try:
            work = services.add_work(request.studio, by=request.user, **form.cleaned_data)
        except ValidationError as error:
            _refuse(form, error)
        else:
            messages.success(request, f"{work} is on the list.")
            return redirect("inventory:works", request.studio.slug)
    page = Paginator(rows.works(request.studio), A_PAGE).get_page(request.GET.get("page"))
    context = {
        "page": page,
        "works": rows.work_now(page),
        "removed": list(rows.works(request.studio, removed=True)[:A_PAGE]),
        "form": form,
        "may_write": may_write,
    }
    return render(request, "inventory/lasting/works.html", context, status=422 if form and form.errors else 200)


@require_http_methods(["GET", "POST"])
@in_studio(Role.MEMBER)
def work(request: StudioRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Work.objects.filter(studio=request.studio).prefetch_related("items"), pk=pk)
    form = WorkForm(request.POST or None, studio=request.studio, work=found)
    if form.is_valid():
        try:
            services.change_work(found, **form.cleaned_data)
        except ValidationError as error:
            _refuse(form, error)
        else:
            messages.success(request, f"{form.cleaned_data['title']} is changed.")
            return redirect("inventory:works", request.studio.slug)
    context = {"work": found, "form": form}
    return render(request, "inventory/lasting/work.html", context, status=422 if form.errors else 200)


@require_POST
@in_studio(Role.MEMBER)
def work_remove(request: StudioRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Work, pk=pk, studio=request.studio)
    if services.remove_work(found):
        messages.success(request, f"{found} is off the list; it can be brought back below.")
    return redirect("inventory:works", request.studio.slug)


@require_POST
@in_studio(Role.MEMBER)
def work_bring_back(request: StudioRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Work, pk=pk, studio=request.studio)
    if services.bring_back_work(found):
        messages.success(request, f"{found} is on the list again.")
    return redirect("inventory:works", request.studio.slug)


# Window tests


@require_http_methods(["GET", "POST"])
@in_studio()
def light_tests(request: StudioRequest) -> HttpResponse:
    """The studio's own tests, the latest first, and a form to begin another."""
    may_write = request.membership.may(Role.TEACHER)
    if request.method == "POST":
        require(request.membership, Role.TEACHER)
    initial = {"started_on": timezone.localdate(), "paint": request.GET.get("paint")}
    form = TestForm(request.POST or None, studio=request.studio, initial=initial) if may_write else None
    if form is not None and form.is_valid():
        try:
            test = services.start_test(request.studio, by=request.user, **form.cleaned_data)
        except ValidationError as error:
            _refuse(form, error)
        else:
            messages.success(request, f"The {test} has begun. Look at it from time to time and write it down here.")
            return redirect("inventory:light_test", request.studio.slug, test.pk)
    standing = tests.tests(request.studio).filter(withdrawn_at=None)
    page = Paginator(standing, A_PAGE).get_page(request.GET.get("page"))
    context = {
        "page": page,
        "tests": tests.tests_now(page),
        "withdrawn": list(tests.tests(request.studio).exclude(withdrawn_at=None)[:A_PAGE]),
        "form": form,
        "may_write": may_write,
        "not_a_rating": tests.NOT_A_RATING,
    }
    return render(request, "inventory/lasting/tests.html", context, status=422 if form and form.errors else 200)


def _test(request: StudioRequest, pk: int) -> LightTest:
    return get_object_or_404(tests.tests(request.studio), pk=pk)


@require_http_methods(["GET", "POST"])
@in_studio()
def light_test(request: StudioRequest, pk: int) -> HttpResponse:
    """One test: its course, and a form for the next reading."""
    found = _test(request, pk)
    if request.method == "POST":
        require(request.membership, Role.TEACHER)
    given = found.given if found.given.get("notation") in ("CIELAB", "CIELCh") else {}
    kept = {name: given.get(name, "") for name in ("illuminant", "observer")}
    form = ReadingForm(request.POST or None, initial={"on": timezone.localdate(), **kept})
    if form.is_valid():
        try:
            services.add_reading(found, by=request.user, **form.cleaned_data)
        except ValidationError as error:
            _refuse(form, error)
        else:
            messages.success(request, "The reading is kept.")
            return redirect("inventory:light_test", request.studio.slug, found.pk)
    context = {
        "now": tests.test_now(found),
        "form": form,
        "end_form": EndForm(initial={"on": timezone.localdate()}, auto_id="id_end_%s"),
        "may_write": request.membership.may(Role.TEACHER),
        "not_a_rating": tests.NOT_A_RATING,
    }
    return render(request, "inventory/lasting/test.html", context, status=422 if form.errors else 200)


def _done(request: StudioRequest, pk: int, deed: Callable[[LightTest], Any], words: str) -> HttpResponse:
    """Do something with a test and go back to its page; a refusal is said there."""
    found = _test(request, pk)
    try:
        deed(found)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, words)
    return redirect("inventory:light_test", request.studio.slug, found.pk)


@require_POST
@in_studio(Role.TEACHER)
def light_test_withdraw(request: StudioRequest, pk: int) -> HttpResponse:
    return _done(request, pk, services.withdraw_test, "The test is withdrawn; nothing of it is deleted.")


@require_POST
@in_studio(Role.TEACHER)
def light_test_bring_back(request: StudioRequest, pk: int) -> HttpResponse:
    return _done(request, pk, services.bring_back_test, "The test stands again.")


@require_POST
@in_studio(Role.TEACHER)
def light_test_end(request: StudioRequest, pk: int) -> HttpResponse:
    """Take the swatch out of the window, or put it back."""
    if request.POST.get("do") == "go-on":
        return _done(request, pk, services.go_on, "The test goes on.")
    form = EndForm(request.POST)
    if not form.is_valid():
        messages.error(request, " ".join(str(error) for errors in form.errors.values() for error in errors))
        return redirect("inventory:light_test", request.studio.slug, _test(request, pk).pk)
    on = form.cleaned_data["on"]
    return _done(request, pk, lambda test: services.end_test(test, on=on), "The test has ended.")


@require_POST
@in_studio(Role.TEACHER)
def light_reading(request: StudioRequest, pk: int) -> HttpResponse:
    """Withdraw a reading, or let it stand again."""
    text = request.POST.get("reading", "")
    number = int(text) if text.isascii() and text.isdecimal() and len(text) < 19 else 0
    if request.POST.get("do") == "bring-back":
        return _done(request, pk, lambda test: services.bring_back_reading(test, number), "The reading stands again.")
    words = "The reading is withdrawn; it stays below."
    return _done(request, pk, lambda test: services.withdraw_reading(test, number), words)

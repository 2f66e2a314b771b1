"""Records of a room: what comes round, what was found, waste, who signed the rules, incidents, the calendar."""

from collections.abc import Callable
from datetime import date
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.core.paginator import Page, Paginator
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.stock.amounts import exact
from safety.models import (
    CalendarLink,
    Finding,
    HouseRule,
    Incident,
    Inspection,
    InspectionSubject,
    RulesVersion,
    SignOff,
    WasteContainer,
)
from safety.queries import calendar as dates
from safety.queries import records as queries
from safety.queries.papers import WASTE_TAG, field_rules
from safety.record_forms import (
    AddedForm,
    CollectedForm,
    FullForm,
    IncidentForm,
    InspectionForm,
    MendedForm,
    NoteForm,
    SignOffForm,
    VersionForm,
    WasteForm,
    WhyForm,
)
from safety.rules.due import COUNTED_FROM
from safety.services import records as services
from studio.access import StudioRequest, in_studio, require, within
from studio.models import Role

A_PAGE = 50


def _saved(form: forms.Form, deed: Callable[[], Any]) -> bool:
    """Do the deed when the form is in order; what the service refuses stands on the form."""
    if not form.is_valid():
        return False
    try:
        deed()
    except ValidationError as error:
        form.add_error(None, error)
        return False
    return True


def _form_page(
    request: StudioRequest, form: forms.Form, title: str, *, back: str, back_words: str, **more: Any
) -> HttpResponse:
    context = {"form": form, "title": title, "back": back, "back_words": back_words, **more}
    return render(request, "safety/records_form.html", context, status=422 if form.errors else 200)


def _at(request: StudioRequest, name: str, *pk: int) -> str:
    return reverse(f"safety:{name}", args=[request.studio.slug, *pk])


def _page(request: StudioRequest, rows: "QuerySet[Any]") -> Page[Any]:
    return Paginator(rows, A_PAGE).get_page(request.GET.get("page"))


@require_safe
@in_studio()
def records(request: StudioRequest) -> HttpResponse:
    """The entry: what comes round, the most pressing first, and the way to every record."""
    found = queries.everything(request.studio)
    member = request.membership
    may_record = member.may(Role.MEMBER)
    context = {
        "found": found,
        "inspections": [(row, _look(request, row) if may_record else "") for row in found.inspections],
        "waste": [(row, _at(request, "waste_container", row.pk or 0)) for row in found.waste],
        "sheets": [(row, _at(request, "item", row.pk or 0)) for row in found.sheets if row.due.on],
        "late_signers": len(found.training.late),
        "open_incidents": queries.incidents(request.studio, member).filter(closed_at=None).count(),
        "subjects": _subjects(found.intervals),
        "may_record": may_record,
        "is_keeper": member.may(Role.KEEPER),
    }
    return render(request, "safety/records.html", context)


def _look(request: StudioRequest, row: queries.DueRow) -> str:
    """The address of the form, filled in: the first of two taps."""
    known = {"subject": row.subject, "room": row.room.pk if row.room else "", "what": ""}
    if row.subject == InspectionSubject.OTHER:
        known["what"] = row.title
    return f"{_at(request, 'inspection_add')}?{urlencode({key: value for key, value in known.items() if value})}"


def _subjects(intervals: queries.Intervals) -> list[tuple[str, str, list[HouseRule]]]:
    """What an interval may be about, from when it counts, and the rules that stand."""
    counted = {str(one.value): "from one inspection to the next" for one in InspectionSubject} | COUNTED_FROM
    return [(subject, words, intervals.about(subject)) for subject, words in counted.items()]


# Inspections


@require_safe
@in_studio()
def inspections(request: StudioRequest) -> HttpResponse:
    context = {
        "page": _page(request, queries.inspections(request.studio)),
        "may_record": request.membership.may(Role.MEMBER),
        "may_withdraw_all": request.membership.may(Role.TEACHER),
    }
    return render(request, "safety/inspections.html", context)


@require_http_methods(["GET", "POST"])
@in_studio(Role.MEMBER)
def inspection_add(request: StudioRequest) -> HttpResponse:
    """What, where, when; the two buttons are the finding."""
    known = {name: request.GET[name] for name in ("subject", "room", "what") if request.GET.get(name)}
    form = InspectionForm(request.POST if request.method == "POST" else None, studio=request.studio, initial=known)
    finding = request.POST.get("finding", "")
    if form.is_bound and finding not in Finding.values:
        form.add_error(None, "Say what you found: press “In order” or “Needs work”.")

    def deed() -> None:
        made = services.record_inspection(request.studio, by=request.user, finding=finding, **form.cleaned_data)
        where = f", {made.room}" if made.room else ""
        messages.success(request, f"Recorded: {made.what or made.get_subject_display()}{where}, {finding}.")

    if _saved(form, deed):
        return redirect("safety:records", request.studio.slug)
    return render(request, "safety/inspection_form.html", {"form": form}, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
@in_studio(Role.MEMBER)
def inspection_mended(request: StudioRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(queries.inspections(request.studio), pk=pk)
    form = MendedForm(request.POST if request.method == "POST" else None)
    if _saved(form, lambda: services.mend(found, by=request.user, **form.cleaned_data)):
        messages.success(request, f"{found.what or found.get_subject_display()} is mended.")
        return redirect("safety:records", request.studio.slug)
    return _form_page(
        request,
        form,
        f"{found.what or found.get_subject_display()} is mended",
        back=_at(request, "inspections"),
        back_words="Inspections",
        why=f"Found on {services.day_words(found.done_on)}: {found.note}" if found.note else "",
        action="It is mended",
    )


@require_http_methods(["GET", "POST"])
@in_studio(Role.MEMBER)
def inspection_withdraw(request: StudioRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(queries.inspections(request.studio), pk=pk)
    if found.by_id != request.user.pk and not request.membership.may(Role.TEACHER):
        raise PermissionDenied(f"{found.by} recorded this inspection: they or a teacher may withdraw it.")
    return _withdraw(request, found, "inspections", "Inspections")


def _withdraw(
    request: StudioRequest, found: Inspection | WasteContainer | SignOff, list_name: str, list_words: str
) -> HttpResponse:
    form = WhyForm(request.POST if request.method == "POST" else None)
    if _saved(form, lambda: services.withdraw(found, by=request.user, **form.cleaned_data)):
        messages.success(request, "Withdrawn. The record stays on its page, with your reason.")
        return redirect(_at(request, list_name))
    return _form_page(
        request,
        form,
        "Withdraw a record",
        back=_at(request, list_name),
        back_words=list_words,
        why=f"“{found}” will no longer count. It stays, with who withdrew it and why.",
        action="Withdraw",
    )


# Waste


@require_safe
@in_studio()
def waste(request: StudioRequest) -> HttpResponse:
    intervals = queries.Intervals(request.studio)
    rows = queries.waste_due(request.studio, timezone.localdate(), intervals)
    held = {one.pk: one for one in queries.waste(request.studio).filter(pk__in=[row.pk for row in rows])}
    done = queries.waste(request.studio).exclude(withdrawn_at=None, collected_on=None)
    context = {
        "standing": [(held[row.pk], row) for row in rows if row.pk in held],
        "page": _page(request, done),
        "limits": queries.waste_limits(request.studio),
        "tag": field_rules(request.studio, WASTE_TAG),
        "may_record": request.membership.may(Role.MEMBER),
    }
    return render(request, "safety/waste.html", context)


@require_http_methods(["GET", "POST"])
@in_studio(Role.MEMBER)
def waste_add(request: StudioRequest) -> HttpResponse:
    form = WasteForm(request.POST if request.method == "POST" else None, studio=request.studio)

    def deed() -> None:
        made = services.open_waste(request.studio, by=request.user, **form.record())
        messages.success(request, f"It is waste container {made.number}: write the number on it.")

    if _saved(form, deed):
        return redirect("safety:waste", request.studio.slug)
    return _form_page(
        request,
        form,
        "A new waste container",
        back=_at(request, "waste"),
        back_words="Waste",
        why="It gets the studio's next number. What may go into one container, and how it is labelled, is for your "
        "safety office and the collector to say.",
        action="Open it",
    )


@require_safe
@in_studio()
def waste_container(request: StudioRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(queries.waste(request.studio), pk=pk)
    intervals = queries.Intervals(request.studio)
    rows = queries.waste_due(request.studio, timezone.localdate(), intervals)
    context = {
        "container": found,
        "size": exact(found.size_milli // 1000, "l") if found.size_milli else "",
        "row": next((row for row in rows if row.pk == pk), None),
        "may_record": request.membership.may(Role.MEMBER),
        "may_collect": request.membership.may(Role.TEACHER),
    }
    return render(request, "safety/waste_container.html", context)


def _waste_step(
    request: StudioRequest,
    pk: int,
    form: forms.Form,
    title: str,
    deed: Callable[[WasteContainer], WasteContainer],
    **more: Any,
) -> HttpResponse:
    found = get_object_or_404(queries.waste(request.studio), pk=pk)
    if _saved(form, lambda: deed(found)):
        messages.success(request, f"Recorded for waste container {found.number}.")
        return redirect("safety:waste_container", request.studio.slug, pk)
    back = {"back": _at(request, "waste_container", pk), "back_words": f"Waste container {found.number}"}
    return _form_page(request, form, f"Waste container {found.number} {title}", why=found.contents, **back, **more)


@require_http_methods(["GET", "POST"])
@in_studio(Role.MEMBER)
def waste_contents(request: StudioRequest, pk: int) -> HttpResponse:
    """Something more goes in, or was wrongly said to."""
    container = get_object_or_404(queries.waste(request.studio).select_related("studio"), pk=pk)
    form = AddedForm(request.POST if request.method == "POST" else None, container=container)

    def deed(found: WasteContainer) -> WasteContainer:
        return services.say_contents(found, by=request.user, **form.cleaned_data)

    return _waste_step(request, pk, form, "holds more", deed, action="Say what is in it")


@require_http_methods(["GET", "POST"])
@in_studio(Role.MEMBER)
def waste_full(request: StudioRequest, pk: int) -> HttpResponse:
    form = FullForm(request.POST if request.method == "POST" else None)

    def deed(found: WasteContainer) -> WasteContainer:
        return services.close_waste(found, by=request.user, **form.cleaned_data)

    return _waste_step(request, pk, form, "is full", deed, action="It is full and closed")


@require_http_methods(["GET", "POST"])
@in_studio(Role.TEACHER)
def waste_collected(request: StudioRequest, pk: int) -> HttpResponse:
    form = CollectedForm(request.POST if request.method == "POST" else None)

    def deed(found: WasteContainer) -> WasteContainer:
        return services.collect_waste(found, by=request.user, **form.cleaned_data)

    return _waste_step(request, pk, form, "was collected", deed, action="It was collected")


@require_http_methods(["GET", "POST"])
@in_studio(Role.TEACHER)
def waste_take_back(request: StudioRequest, pk: int) -> HttpResponse:
    form = WhyForm(request.POST if request.method == "POST" else None)

    def deed(found: WasteContainer) -> WasteContainer:
        return services.take_back_step(found, by=request.user, **form.cleaned_data)

    return _waste_step(request, pk, form, "as it was before", deed, action="Take the last step back")


@require_http_methods(["GET", "POST"])
@in_studio(Role.TEACHER)
def waste_withdraw(request: StudioRequest, pk: int) -> HttpResponse:
    return _withdraw(request, get_object_or_404(queries.waste(request.studio), pk=pk), "waste", "Waste")


# Training


def _may_see_names(request: StudioRequest) -> bool:
    return request.membership.may(Role.MEMBER)


@require_safe
@in_studio()
def training(request: StudioRequest) -> HttpResponse:
    found = queries.training(request.studio, timezone.localdate(), queries.Intervals(request.studio))
    context = {
        "found": found,
        "own": next((one for one in found.signers if one.person == request.user), None),
        "may_see": _may_see_names(request),
        "may_record": request.membership.may(Role.TEACHER),
        "is_keeper": request.membership.may(Role.KEEPER),
    }
    return render(request, "safety/training.html", context)


@require_http_methods(["GET", "POST"])
@in_studio(Role.TEACHER)
def sign_off_add(request: StudioRequest) -> HttpResponse:
    versions = RulesVersion.objects.filter(studio=request.studio)
    asked = request.GET.get("version", "")
    version = versions.filter(number=asked).first() if asked.isdigit() and len(asked) < 10 else versions.first()
    if asked and version is None:
        raise Http404(f"There is no version {asked[:20]} of the rules here.")
    form = SignOffForm(request.POST if request.method == "POST" else None, studio=request.studio, version=version)
    made: list[SignOff] = []
    if _saved(
        form,
        lambda: made.extend(services.record_sign_offs(request.studio, by=request.user, **form.cleaned_data)),
    ):
        messages.success(request, f"{len(made)} sign-off{'' if len(made) == 1 else 's'} recorded.")
        return redirect("safety:training", request.studio.slug)
    return _form_page(
        request,
        form,
        "Who signed the rules",
        back=_at(request, "training"),
        back_words="Training",
        why="Record what people signed on paper. All names are recorded, or none.",
        action="Record who signed",
    )


@require_http_methods(["GET", "POST"])
@in_studio(Role.KEEPER)
def rules_version_add(request: StudioRequest) -> HttpResponse:
    """A new version, beginning with the newest text or with the standing house rules."""
    newest = RulesVersion.objects.filter(studio=request.studio).first()
    from_rules = queries.starting_text(request.studio)
    begin = newest.text if newest and "rules" not in request.GET else from_rules
    title = newest.title if newest else "Rules of this studio"
    form = VersionForm(request.POST if request.method == "POST" else None, initial={"title": title, "text": begin})
    made: list[RulesVersion] = []
    if _saved(form, lambda: made.append(services.make_version(request.studio, by=request.user, **form.cleaned_data))):
        messages.success(request, f"Version {made[0].number} is made. Print it, and have it signed.")
        return redirect("safety:rules_version", request.studio.slug, made[0].pk)
    context = {"form": form, "newest": newest, "number": newest.number + 1 if newest else 1, "has_rules": from_rules}
    return render(request, "safety/rules_version_form.html", context, status=422 if form.errors else 200)


@require_safe
@in_studio()
def rules_version(request: StudioRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(RulesVersion.objects.select_related("studio", "made_by"), studio=request.studio, pk=pk)
    context = {
        "version": found,
        "list": queries.sign_off_list(found) if _may_see_names(request) else None,
        "withdrawn": found.sign_offs.exclude(withdrawn_at=None).select_related("withdrawn_by"),
        "may_record": request.membership.may(Role.TEACHER),
    }
    return render(request, "safety/rules_version.html", context)


def _sign_off(request: StudioRequest, pk: int) -> SignOff:
    rows = within(SignOff.objects, request.studio, "version__studio").select_related("version", "withdrawn_by")
    return get_object_or_404(rows, pk=pk)


@require_http_methods(["GET", "POST"])
@in_studio(Role.TEACHER)
def sign_off_withdraw(request: StudioRequest, pk: int) -> HttpResponse:
    return _withdraw(request, _sign_off(request, pk), "training", "Training")


@require_POST
@in_studio(Role.TEACHER)
def sign_off_left(request: StudioRequest, pk: int) -> HttpResponse:
    found = _sign_off(request, pk)
    services.say_left(found)
    messages.success(request, f"{found.name} is asked for no signature any more. A new sign-off brings them back.")
    return redirect("safety:training", request.studio.slug)


# Incidents: whoever may not read one does not learn that it is there.


def _readable(request: StudioRequest, pk: int) -> Incident:
    return get_object_or_404(queries.incidents(request.studio, request.membership), pk=pk)


@require_safe
@in_studio()
def incidents(request: StudioRequest) -> HttpResponse:
    context = {
        "page": _page(request, queries.incidents(request.studio, request.membership)),
        "is_keeper": request.membership.may(Role.KEEPER),
    }
    return render(request, "safety/incidents.html", context)


@require_http_methods(["GET", "POST"])
@in_studio()
def incident_add(request: StudioRequest) -> HttpResponse:
    """Anybody of the studio may report, a student too: who was hurt is often a student."""
    form = IncidentForm(request.POST if request.method == "POST" else None, studio=request.studio)
    made: list[Incident] = []
    if _saved(
        form, lambda: made.append(services.report_incident(request.studio, by=request.user, **form.cleaned_data))
    ):
        messages.success(request, "The report is kept. You and the keepers may read it, nobody else.")
        return redirect("safety:incident", request.studio.slug, made[0].pk)
    return render(request, "safety/incident_form.html", {"form": form}, status=422 if form.errors else 200)


@require_safe
@in_studio()
def incident(request: StudioRequest, pk: int) -> HttpResponse:
    found = _readable(request, pk)
    context = {
        "incident": found,
        "notes": found.notes.select_related("by"),
        "form": NoteForm(),
        "is_keeper": request.membership.may(Role.KEEPER),
    }
    return render(request, "safety/incident.html", context)


def _note(
    request: StudioRequest, pk: int, deed: Callable[..., Any], title: str, action: str, done: str
) -> HttpResponse:
    found = _readable(request, pk)
    form = NoteForm(request.POST if request.method == "POST" else None)
    if _saved(form, lambda: deed(found, by=request.user, **form.cleaned_data)):
        messages.success(request, done)
        return redirect("safety:incident", request.studio.slug, pk)
    back = {"back": _at(request, "incident", pk), "back_words": str(found)}
    return _form_page(request, form, title, why="The report itself is not changed.", action=action, **back)


@require_http_methods(["GET", "POST"])
@in_studio()
def incident_note(request: StudioRequest, pk: int) -> HttpResponse:
    return _note(request, pk, services.add_note, "Add a note", "Add the note", "The note is added.")


@require_http_methods(["GET", "POST"])
@in_studio(Role.KEEPER)
def incident_close(request: StudioRequest, pk: int) -> HttpResponse:
    return _note(
        request, pk, services.close_incident, "Close the report: what was done", "Close the report", "It is closed."
    )


@require_http_methods(["GET", "POST"])
@in_studio(Role.KEEPER)
def incident_reopen(request: StudioRequest, pk: int) -> HttpResponse:
    return _note(
        request, pk, services.reopen_incident, "Open the report again: why", "Open it again", "It is open again."
    )


# The calendar


@require_safe
@in_studio()
def calendar(request: StudioRequest) -> HttpResponse:
    return _calendar_page(request)


def _calendar_page(request: StudioRequest, address: str = "") -> HttpResponse:
    links = CalendarLink.objects.filter(studio=request.studio).select_related("by")
    if not request.membership.may(Role.KEEPER):
        links = links.filter(by=request.user)
    context = {
        "address": address,
        "links": links,
        "may_make": request.membership.may(Role.MEMBER),
        "has_one": links.filter(by=request.user, ended_at=None).exists(),
    }
    return render(request, "safety/calendar.html", context)


@require_POST
@in_studio(Role.MEMBER)
def calendar_make(request: StudioRequest) -> HttpResponse:
    """The answer shows the address, this once; it is kept nowhere and must not be."""
    _, token = services.make_calendar_link(request.studio, by=request.user)
    answer = _calendar_page(request, request.build_absolute_uri(reverse("calendar_feed", args=[token])))
    answer["Cache-Control"] = "no-store"
    return answer


@require_POST
@in_studio(Role.MEMBER)
def calendar_end(request: StudioRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(within(CalendarLink.objects, request.studio), pk=pk)
    if found.by_id != request.user.pk:
        require(request.membership, Role.KEEPER)
    if services.end_calendar_link(found):
        messages.success(request, "The address answers no longer.")
    else:
        messages.info(request, "The address had ended already.")
    return redirect("safety:calendar", request.studio.slug)


@require_safe
def calendar_feed(request: HttpRequest, token: str) -> HttpResponse:
    """The calendar for a program that cannot sign in: its address is the key."""
    link = dates.open_link(token)
    if link is None:
        raise Http404
    today: date = timezone.localdate()
    data = dates.as_icalendar(link.studio, dates.entries(link.studio, today), timezone.now())
    answer = HttpResponse(data, content_type="text/calendar; charset=utf-8")
    answer["Content-Disposition"] = 'inline; filename="studio.ics"'
    answer["Cache-Control"] = "private, max-age=300"
    answer["X-Robots-Tag"] = "noindex"
    return answer

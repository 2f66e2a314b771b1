"""The notices of a studio: which are out of date, which are missing, and all of them on paper."""

from dataclasses import replace

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Page, Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.models import Item
from inventory.queries.remembered import StillWorking, patience
from safety import services
from safety.forms import HangForm
from safety.models import Notice
from safety.queries import books
from safety.queries import facts as known
from safety.queries import notices as rows
from safety.queries.notices import State
from safety.queries.reference import phrasebook
from safety.rules.notice import hazard_line
from safety.rules.questions import CONCERNS, answered
from safety.views.papers import as_pdf, file_name, paper_asked, print_kept
from studio.access import StudioRequest, in_studio, within
from studio.models import Role
from studio.printing.paper import papers_for, usual_paper

A_PAGE = 50
# How long a page may work before it shows how far it is, in seconds.
PATIENCE = 1.5


def page_url(request: StudioRequest, item: Item) -> str:
    """Where a notice's QR code leads: the safety page of the item, by its whole address."""
    return request.build_absolute_uri(reverse("safety:item", args=[request.studio.slug, item.pk]))


@require_safe
@in_studio()
def notices(request: StudioRequest) -> HttpResponse:
    found = rows.standings(request.studio)

    def page(state: State, name: str) -> Page[rows.Standing]:
        return Paginator([one for one in found if one.state is state], A_PAGE).get_page(request.GET.get(name))

    return render(
        request,
        "safety/notices.html",
        {
            "outdated": page(State.OUT_OF_DATE, "outdated"),
            "missing": page(State.MISSING, "missing"),
            "current": page(State.CURRENT, "current"),
            "to_make": sum(one.needs_new for one in found),
            "all": len(found),
            "papers": papers_for(request.studio.jurisdiction),
            "paper": usual_paper(request.studio.jurisdiction),
            "may_change": request.membership.may(Role.TEACHER),
        },
    )


@require_POST
@in_studio(Role.TEACHER)
def make_all(request: StudioRequest) -> HttpResponse:
    """Make every notice that is missing or out of date."""
    made = services.make_notices(request.studio, by=request.user, page_url=lambda item: page_url(request, item))
    number = len(made)
    words = f"{number} notice{' is' if number == 1 else 's are'} made." if number else "Every notice was made already."
    messages.success(request, f"{words} Those that hang stay until you take them down.")
    return redirect("safety:notices", request.studio.slug)


@require_safe
@in_studio()
def notice_pdf(request: StudioRequest, pk: int) -> HttpResponse:
    """The notice as it was made, printed from what it kept."""
    paper = paper_asked(request)
    rows_of = within(Notice.objects, request.studio).select_related("item", "room", "palette")
    notice = get_object_or_404(rows_of, pk=pk)
    return as_pdf(print_kept(notice, paper), file_name(notice))


@require_safe
@in_studio()
def book_pdf(request: StudioRequest) -> HttpResponse:
    """Every notice in stock that says what is known now, in one file; a page with how far it is while it is made."""
    paper = paper_asked(request)
    by_script = bool(getattr(request, "htmx", False))
    try:
        with patience(PATIENCE):
            data = books.bound(request.studio, paper)
    except StillWorking as working:
        context = {"what": working.what, "done": round(100.0 * working.share), "url": request.get_full_path()}
        answer = render(request, f"{'inventory/wheel/progress' if by_script else 'safety/working'}.html", context)
        answer["Cache-Control"] = "no-store"
        return answer
    if data is None:
        messages.error(request, "There is no notice to bind yet: make them first.")
        return redirect("safety:notices", request.studio.slug)
    if by_script:
        return HttpResponse(headers={"HX-Redirect": request.get_full_path()})
    return as_pdf(data, f"notices-{request.studio.slug}")


@require_http_methods(["GET", "POST"])
@in_studio(Role.TEACHER)
def hang(request: StudioRequest, pk: int) -> HttpResponse:
    """Say where a kept paper hangs; it may hang in several places."""
    about = within(Notice.objects, request.studio).select_related("item", "room", "palette", "studio")
    notice = get_object_or_404(about, pk=pk)
    form = HangForm(request.POST if request.method == "POST" else None, studio=request.studio)
    if form.is_valid():
        asked_for = {name: form.cleaned_data[name] for name in ("room", "where")}
        try:
            hung = services.hang(notice, by=request.user, **asked_for)
        except ValidationError as error:
            form.add_error(None, ValidationError(error.messages))
        else:
            what = notice.get_kind_display().lower()
            messages.success(request, f"Noted where the {what} for {notice.subject} hangs: {hung.place}.")
            if notice.item_id:
                return redirect("safety:item", request.studio.slug, notice.item_id)
            return redirect("safety:postings", request.studio.slug)
    context = {
        "form": form,
        "title": f"Hang the {notice.get_kind_display().lower()} for {notice.subject}",
        "why": "Print it, hang it, then say where. It may hang in several places. An older one about the same thing at "
        "that very place is taken down with it.",
        "prints": [
            (size, f"{reverse('safety:notice_pdf', args=[request.studio.slug, notice.pk])}?paper={size}")
            for size in papers_for(request.studio.jurisdiction)
        ],
    }
    return render(request, "safety/posting_form.html", context, status=422 if form.errors else 200)


@require_safe
@in_studio()
def health_question(request: StudioRequest, concern: str) -> HttpResponse:
    """What the records say to somebody who is pregnant, or has asthma or an allergy; neither yes nor no."""
    if concern not in CONCERNS:
        raise Http404
    found = list(known.in_stock(request.studio))
    facts = known.facts_of(found)
    named = {f"{item.pk}": item for item in found}
    # The answer names things by a text; the pk tells two paints of one name apart.
    answer = answered(CONCERNS[concern], (replace(facts[item.pk], name=f"{item.pk}") for item in found))
    book = phrasebook()
    return render(
        request,
        "safety/health_question.html",
        {
            "concern": CONCERNS[concern],
            "others": [(key, one) for key, one in CONCERNS.items() if key != concern],
            "carrying": [
                (named[one.name], [hazard_line(code, one.printed, book) for code in one.h_codes], one.source)
                for one in answer.carrying
            ],
            "without": [named[name] for name in answer.sheet_without],
            "no_sheet": [named[name] for name in answer.no_sheet],
            "unread": [(named[name], codes) for name, codes in answer.unread],
            "advice": answer.advice,
            "all": len(found),
        },
    )

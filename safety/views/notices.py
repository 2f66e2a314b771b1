"""The notices of a studio: which are out of date, which are missing, and all of them on paper."""

from dataclasses import replace

from csp.decorators import csp_exempt
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Page, Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.models import Item
from safety import services
from safety.forms import HangForm
from safety.models import Notice
from safety.printing import book as printed_book
from safety.printing import notice as printed
from safety.queries import facts as known
from safety.queries import notices as rows
from safety.queries.notices import State
from safety.queries.reference import phrasebook
from safety.rules.questions import pregnancy as asked
from safety.views.papers import as_pdf, file_name, paper_of
from studio.access import StudioRequest, in_studio, within
from studio.models import Role
from studio.printing.paper import PAPERS

A_PAGE = 50


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
            "papers": sorted(PAPERS, key=lambda name: name != paper_of(request.studio)),
            "paper": paper_of(request.studio),
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


def _paper(request: StudioRequest) -> str:
    asked_for = request.GET.get("paper") or paper_of(request.studio)
    if asked_for not in PAPERS:
        raise Http404(f"Notices are set for {' and '.join(PAPERS)}, not for {asked_for[:20]!r}.")
    return asked_for


# A PDF holds nothing that the policy could stop, and "object-src 'none'" stops some browsers from showing it.
@csp_exempt()  # type: ignore[arg-type]  # it takes any view, whatever its stub says
@require_safe
@in_studio()
def notice_pdf(request: StudioRequest, pk: int) -> HttpResponse:
    """The notice as it was made, printed from what it kept."""
    paper = _paper(request)
    notice = get_object_or_404(within(Notice.objects, request.studio).select_related("item"), pk=pk)
    data = printed.render(rows.content_of(notice), page_size=paper)
    return as_pdf(data, file_name(notice))


@csp_exempt()  # type: ignore[arg-type]  # it takes any view, whatever its stub says
@require_safe
@in_studio()
def book_pdf(request: StudioRequest) -> HttpResponse:
    """Every notice in stock that says what is known now, in one file."""
    paper = _paper(request)
    contents = [rows.content_of(one) for one in rows.book(request.studio)]
    if not contents:
        messages.error(request, "There is no notice to bind yet: make them first.")
        return redirect("safety:notices", request.studio.slug)
    return as_pdf(printed_book.render(contents, page_size=paper), f"notices-{request.studio.slug}")


@require_http_methods(["GET", "POST"])
@in_studio(Role.TEACHER)
def hang(request: StudioRequest, pk: int) -> HttpResponse:
    notice = get_object_or_404(within(Notice.objects, request.studio).select_related("item"), pk=pk)
    form = HangForm(request.POST or None)
    if form.is_valid():
        try:
            hung = services.hang(notice, by=request.user, **form.cleaned_data)
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, f"Noted where the notice for {notice.item} hangs: {hung.hung_where}.")
            return redirect("safety:item", request.studio.slug, notice.item_id)
    why = (
        "Print it, hang it, then say where. An older notice of the same paint at the same place is taken down with it."
    )
    context = {"form": form, "item": notice.item, "title": f"Hang the notice for {notice.item}", "why": why}
    return render(request, "safety/form.html", context)


@require_POST
@in_studio(Role.TEACHER)
def take_down(request: StudioRequest, pk: int) -> HttpResponse:
    notice = get_object_or_404(within(Notice.objects, request.studio).select_related("item"), pk=pk)
    try:
        services.take_down(notice, by=request.user)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, f"Noted: the notice for {notice.item} hangs no more.")
    if request.POST.get("next") == "notices":
        return redirect("safety:notices", request.studio.slug)
    return redirect("safety:item", request.studio.slug, notice.item_id)


@require_safe
@in_studio()
def pregnancy(request: StudioRequest) -> HttpResponse:
    """What the records say to somebody who is pregnant; neither yes nor no."""
    found = list(known.in_stock(request.studio))
    facts = known.facts_of(found)
    named = {f"{item.pk}": item for item in found}
    # The answer names things by a text; the pk tells two paints of one name apart.
    answer = asked(replace(facts[item.pk], name=f"{item.pk}") for item in found)
    book = phrasebook()
    return render(
        request,
        "safety/pregnancy.html",
        {
            "carrying": [
                (named[one.name], [(code, book.look_up(code).phrase_plain) for code in one.h_codes], one.source)
                for one in answer.carrying
            ],
            "without": [named[name] for name in answer.sheet_without],
            "no_sheet": [named[name] for name in answer.no_sheet],
            "advice": answer.advice,
            "all": len(found),
        },
    )

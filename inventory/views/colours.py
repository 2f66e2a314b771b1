"""Colours of paints: what was given, what follows from it, and what would help most."""

from csp.decorators import csp_exempt
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.http import content_disposition_header
from django.utils.text import slugify
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.forms.colours import ColourForm, PhotoForm, SpectrumForm
from inventory.measuring.worth import HOW_TO_PHOTOGRAPH, HOW_TO_TINT, WHY_WEIGH
from inventory.models import Measurement, Paint
from inventory.printing import swatch_card
from inventory.printing.swatch_card import CardContent
from inventory.queries import colours as rows
from inventory.queries.measured import usual_white, whites, with_measurements
from inventory.queries.wheel import listed
from inventory.services import colours as services
from studio.access import StudioRequest, in_studio, require, within
from studio.models import Role
from studio.printing.paper import PAPERS

A_PAGE = 50
GivenForm = ColourForm | SpectrumForm | PhotoForm
FORMS: dict[str, type[ColourForm] | type[SpectrumForm] | type[PhotoForm]] = {
    "colour": ColourForm,
    "spectrum": SpectrumForm,
    "photo": PhotoForm,
}
# What a service says of a field, and where the form has it.
PLACES = {"corners": "corner_1", "references": "patch_0", "fields": "fields_painted"}


@require_safe
@in_studio()
def colours(request: StudioRequest) -> HttpResponse:
    """Which paints have what, those that would gain most first."""
    found = rows.known_colours(request.studio)
    page = Paginator(found, A_PAGE).get_page(request.GET.get("page"))
    return render(
        request,
        "inventory/colours/list.html",
        {
            "page": page,
            "waiting": services.waiting(request.studio).count(),
            "may_change": request.membership.may(Role.TEACHER),
        },
    )


@require_http_methods(["GET", "POST"])
@in_studio(Role.TEACHER)
def work_out(request: StudioRequest) -> HttpResponse:
    """Work through the paints that wait, in steps; the page may be left and found again."""
    by_script = bool(getattr(request, "htmx", False))
    before = services.waiting(request.studio).count()
    left = services.work_through(request.studio) if request.method == "POST" and before else before
    total = max(before, _number(request.POST.get("total")))
    if not left:
        messages.success(request, "Every colour is worked out.")
        answer = redirect("inventory:colours", request.studio.slug)
        return HttpResponse(headers={"HX-Redirect": answer["Location"]}) if by_script else answer
    template = "inventory/colours/progress.html" if by_script else "inventory/colours/working.html"
    return render(request, template, {"done": total - left, "total": total})


def _number(text: str | None) -> int:
    return int(text) if text and text.isascii() and text.isdecimal() and len(text) < 7 else 0


@require_http_methods(["GET", "POST"])
@in_studio()
def paint_colour(request: StudioRequest, pk: int) -> HttpResponse:
    """What is known of one paint's colour, and the ways to give more."""
    paint = get_object_or_404(Paint.objects.of(request.studio), pk=pk)
    if request.method == "POST":
        require(request.membership, Role.TEACHER)
    choices = list(with_measurements(whites(request.studio).exclude(pk=paint.pk)))
    white, offered = usual_white(paint, choices), whites(request.studio).exclude(pk=paint.pk)
    forms: dict[str, GivenForm] = {name: form(whites=offered, white=white) for name, form in FORMS.items()}
    way = request.POST.get("way", "")
    if request.method == "POST" and way in FORMS:
        form = forms[way] = FORMS[way](request.POST, request.FILES, whites=offered, white=white)
        if form.is_valid() and _add(request, paint, way, form):
            return redirect("inventory:paint_colour", request.studio.slug, paint.pk)
        form.ask_again()
    context = {
        "colour": rows.paint_colour(request.studio, pk),
        "paint": paint,
        "forms": forms,
        "opened": {way: True},
        "axis": [(nm, nm - 400) for nm in range(400, 701, 50)],
        "papers": list(PAPERS),
        "how_to_tint": HOW_TO_TINT,
        "why_weigh": WHY_WEIGH,
        "how_to_photograph": HOW_TO_PHOTOGRAPH,
        "may_change": request.membership.may(Role.TEACHER),
    }
    return render(request, "inventory/colours/paint.html", context)


def _add(request: StudioRequest, paint: Paint, way: str, form: GivenForm) -> bool:
    """Take in what the form holds; False with the errors on the form."""
    try:
        if way == "photo":
            made = services.add_card_photo(paint, by=request.user, **form.given())
        elif way == "spectrum":
            made = [services.add_spectrum(paint, by=request.user, **form.given())]
        else:
            made = [services.add_colour(paint, by=request.user, **form.given())]
    except ValidationError as error:
        for name, problems in error.error_dict.items():
            place = PLACES.get(name, name)
            form.add_error(place if place in form.fields else None, problems)
        return False
    names = listed([one.get_kind_display().lower() for one in made])
    verb = "is kept. It" if len(made) == 1 else "are kept. Each"
    messages.success(request, f"{paint}: {names} {verb} can be withdrawn; nothing is deleted.")
    return True


@require_POST
@in_studio(Role.TEACHER)
def withdraw(request: StudioRequest, pk: int) -> HttpResponse:
    found = _measurement(request, pk)
    services.withdraw(found, by=request.user)
    messages.success(request, f"{found.get_kind_display()} {found.text} is withdrawn; its row stays below.")
    return redirect("inventory:paint_colour", request.studio.slug, found.paint_id)


@require_POST
@in_studio(Role.TEACHER)
def bring_back(request: StudioRequest, pk: int) -> HttpResponse:
    found = _measurement(request, pk)
    try:
        services.bring_back(found, by=request.user)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, f"{found.get_kind_display()} {found.text} stands again.")
    return redirect("inventory:paint_colour", request.studio.slug, found.paint_id)


def _measurement(request: StudioRequest, pk: int) -> Measurement:
    kept = within(Measurement.objects.select_related("paint", "white"), request.studio, "paint__studio")
    return get_object_or_404(kept, pk=pk)


# A PDF holds nothing that the policy could stop, and "object-src 'none'" stops some browsers from showing it.
@csp_exempt()  # type: ignore[arg-type]  # it takes any view, whatever its stub says
@require_safe
@in_studio()
def card(request: StudioRequest, pk: int) -> HttpResponse:
    """The swatch card of a paint, to print, paint and measure."""
    paint = get_object_or_404(Paint.objects.of(request.studio).prefetch_related("pigment_lines"), pk=pk)
    size = request.GET.get("paper", "A4")
    if size not in PAPERS:
        raise Http404(f"A card is set for {' and '.join(PAPERS)}, not for {size[:20]!r}.")
    white = usual_white(paint, list(with_measurements(whites(request.studio))))
    content = CardContent(
        made_on=timezone.localdate(),
        paint=paint.name,
        codes=", ".join(line.code for line in paint.pigment_lines.all()),
        white=white.name if white else "",
        studio=request.studio.name,
    )
    response = HttpResponse(swatch_card.render(content, page_size=size), content_type="application/pdf")
    name = f"swatch-card-{slugify(paint.name)[:60] or paint.pk}.pdf"
    response["Content-Disposition"] = content_disposition_header(False, name) or "inline"
    return response

"""Pages of what happened: by a person, at a place, to an item, to the whole shelf."""

from datetime import date
from typing import Any
from urllib.parse import urlencode

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from inventory.forms.finding import HistoryFilter
from inventory.models import Item, Place
from inventory.queries import history as queries
from studio.access import StudioRequest, in_studio
from studio.models import Membership, Role


def _cursor(request: StudioRequest) -> int | None:
    text = request.GET.get("before", "")
    number = int(text) if text.isascii() and text.isdigit() and len(text) < 19 else 0
    return number or None


def _entries(request: StudioRequest, **about: Any) -> dict[str, Any]:
    form = HistoryFilter(request.GET)
    form.is_valid()
    kind: str = form.cleaned_data.get("kind") or ""
    day: date | None = form.cleaned_data.get("day")
    before = _cursor(request)
    page = queries.happened(request.studio, **about, kind=kind, day=day, before=before)
    kept = {name: request.GET[name] for name in ("kind", "day") if request.GET.get(name)}
    return {
        "form": form,
        "lines": page.lines,
        "narrowed": bool(kept),
        "first": f"?{urlencode(kept)}" if before else "",
        "next": f"?{urlencode({**kept, 'before': page.older})}" if page.older else "",
    }


@require_safe
@in_studio(Role.MEMBER)
def person(request: StudioRequest, pk: int) -> HttpResponse:
    """What one person wrote down; for those who work here."""
    rows = Membership.objects.filter(studio=request.studio).select_related("user")
    found = get_object_or_404(rows, pk=pk)
    context = {"person": found.user, "role": found.get_role_display(), **_entries(request, by=found.user)}
    return render(request, "inventory/history/person.html", context)


@require_safe
@in_studio()
def place(request: StudioRequest, pk: int) -> HttpResponse:
    """What came to a place, left it, or happened to what stood there; also of one that was taken away."""
    found = get_object_or_404(Place.objects.filter(studio=request.studio), pk=pk)
    return render(request, "inventory/history/place.html", {"place": found, **_entries(request, place=found)})


@require_safe
@in_studio()
def item(request: StudioRequest, pk: int) -> HttpResponse:
    """The stock of a paint or material over time, and its use."""
    found = get_object_or_404(Item.objects.of(request.studio).select_related("studio"), pk=pk)
    return render(request, "inventory/history/item.html", {"item": found, "courses": queries.courses_of(found)})


@require_safe
@in_studio()
def stock(request: StudioRequest) -> HttpResponse:
    """The stock of the whole studio by binder."""
    return render(request, "inventory/history/stock.html", {"courses": queries.course_of_studio(request.studio)})

"""The shelf as rows."""

from urllib.parse import urlencode

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory.forms.shelf import ShelfFilter
from inventory.queries.shelf import Cursor, ShelfPage, shelf
from studio import access
from studio.access import StudioRequest


@require_safe
@access.in_studio()
def shelf_page(request: StudioRequest) -> HttpResponse:
    """What stands where, in the order of names, page by page."""
    form = ShelfFilter(request.GET, studio=request.studio)
    chosen = form.chosen()
    after, before = (Cursor.parse(request.GET.get(name, "")) for name in ("after", "before"))
    page = shelf(request.studio, **chosen, by=request.user, after=after, before=before)
    kept = {name: value for name in form.fields if (value := request.GET.get(name, ""))}
    filtered = bool(kept.keys() - {"q"})
    context = {
        "form": form,
        "page": page,
        # Looked up once: for every row it would be a tenth of the page's time.
        "tubes_url": reverse("inventory:tube", args=[request.studio.slug, 0]).removesuffix("0/"),
        "pager": _pager(page, kept, is_first=not (after or before)),
        "narrowed": bool(kept),
        "filtered": filtered,
        "narrow": filtered or "narrow" in request.GET,
    }
    return render(request, "inventory/shelf.html", context)


def _pager(page: ShelfPage, kept: dict[str, str], *, is_first: bool) -> dict[str, str]:
    """The addresses of the neighbouring pages; empty where there is none."""
    return {
        "first": "" if is_first else f"?{urlencode(kept)}",
        "previous": f"?{urlencode({**kept, 'before': str(page.before)})}" if page.before else "",
        "next": f"?{urlencode({**kept, 'after': str(page.after)})}" if page.after else "",
    }

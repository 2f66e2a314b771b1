"""The shelf as rows."""

from urllib.parse import urlencode

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import NoReverseMatch, reverse
from django.views.decorators.http import require_safe

from inventory.forms.shelf import ShelfFilter
from inventory.queries.finding import kept_query, saved_filters, shelf_of_level
from inventory.queries.shelf import Cursor, ShelfPage, shelf
from studio import access
from studio.access import StudioRequest
from studio.models import Role

# What else is done at the shelf, folded away.
MORE = (
    ("Scan", "inventory:scan"),
    ("Do we own this?", "inventory:own"),
    ("Print labels", "inventory:labels"),
    ("Count", "inventory:stocktakes"),
    ("Change many at once", "inventory:edit_many"),
    ("Kept filters", "inventory:filters"),
    ("Stock over time", "inventory:stock_history"),
)


@require_safe
@access.in_studio()
def shelf_page(request: StudioRequest) -> HttpResponse:
    """What stands where, in the order of names, page by page."""
    form = ShelfFilter(request.GET, studio=request.studio)
    chosen = form.chosen()
    after, before = (Cursor.parse(request.GET.get(name, "")) for name in ("after", "before"))
    read = None
    if form.level_chosen:
        found = shelf_of_level(request.studio, form.level_chosen, chosen, by=request.user, after=after)
        page, read, before = ShelfPage(found.page.rows, None, found.page.after), found.read, None
    else:
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
        "read": read,
        "query": kept_query(request.GET),
        "saved": saved_filters(request.studio, request.user),
        "more": _more(request),
        "may_write": request.membership.may(Role.MEMBER),
    }
    return render(request, "inventory/shelf.html", context)


def _more(request: StudioRequest) -> list[tuple[str, str]]:
    """The ways on from here; what this person may not do, or what is not there, is left out."""
    links = []
    for label, name in MORE:
        if name == "inventory:edit_many" and not request.membership.may(Role.MEMBER):
            continue
        try:
            links.append((label, reverse(name, args=[request.studio.slug])))
        except NoReverseMatch:
            continue
    return links


def _pager(page: ShelfPage, kept: dict[str, str], *, is_first: bool) -> dict[str, str]:
    """The addresses of the neighbouring pages; empty where there is none."""
    return {
        "first": "" if is_first else f"?{urlencode(kept)}",
        "previous": f"?{urlencode({**kept, 'before': str(page.before)})}" if page.before else "",
        "next": f"?{urlencode({**kept, 'after': str(page.after)})}" if page.after else "",
    }

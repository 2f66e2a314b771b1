"""The front door: which studio, and what needs attention in it today."""

from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from inventory.queries import attention as inventory_attention
from inventory.queries.buying.today import order_day_near, orders_late
from inventory.queries.lessons.today import lessons_near, lessons_unrecorded
from inventory.queries.reorder import what_is_short
from inventory.queries.shelf import holdings
from inventory.queries.stocktakes import counts_left_lying
from inventory.queries.wheel import wheel_gaps
from safety.queries import attention as safety_attention
from safety.queries.house import children_without_rules
from safety.queries.records import records_overdue
from safety.queries.sheets import sheets_past_review
from studio import access
from studio.access import SignedInRequest, StudioRequest
from studio.attention import Source, collect

# Who speaks on the first page. Each takes the studio and gives Attention; add yours here.
SOURCES: tuple[Source, ...] = (
    records_overdue,
    safety_attention.notices_missing,
    safety_attention.papers_outdated,
    lessons_near,
    what_is_short,
    orders_late,
    order_day_near,
    inventory_attention.open_questions,
    inventory_attention.unknown_pigments,
    inventory_attention.paints_undrawn,
    counts_left_lying,
    children_without_rules,
    safety_attention.sheets_missing,
    sheets_past_review,
    lessons_unrecorded,
    wheel_gaps,
)


@login_required
@require_safe
def front(request: SignedInRequest) -> HttpResponse:
    """Go to the person's studio, or let them choose among several."""
    studios = list(access.studios(request.user))
    if len(studios) == 1 and "choose" not in request.GET:
        return redirect("today", studio=studios[0].slug)
    return render(request, "studio/front.html", {"studios": studios})


@require_safe
@access.in_studio()
def today(request: StudioRequest) -> HttpResponse:
    """What needs an answer today, most urgent first."""
    held = holdings(request.studio)
    matters = collect(request.membership, SOURCES)
    return render(request, "studio/today.html", {"matters": matters, "held": held})

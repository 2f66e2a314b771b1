"""The front door: which studio, and what needs attention in it today."""

from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from studio import access
from studio.access import SignedInRequest, StudioRequest


@login_required
@require_safe
def front(request: SignedInRequest) -> HttpResponse:
    """Go to the person's studio, or let them choose among several."""
    studios = list(access.studios(request.user))
    if len(studios) == 1:
        return redirect("today", studio=studios[0].slug)
    return render(request, "studio/front.html", {"studios": studios})


@require_safe
@access.in_studio()
def today(request: StudioRequest) -> HttpResponse:
    """What needs an answer today, most urgent first."""
    return render(request, "studio/today.html", {})

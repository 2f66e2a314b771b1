"""Do we own this: asked in the shop, on a phone."""

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_safe

from inventory.labels.barcodes import BarcodeError, read_gtin
from inventory.queries import owned as queries
from inventory.queries.remembered import StillWorking, patience
from studio.access import StudioRequest, in_studio

# What stands here is told at once; what a pigment would add may take so long (seconds) and is else worked on next time.
PATIENCE = 1.0


@require_safe
@in_studio()
def own(request: StudioRequest) -> HttpResponse:
    typed = request.GET.get("q", "").strip()
    context: dict[str, object] = {"text": typed, "longest": queries.LONGEST}
    if len(typed) > queries.LONGEST:
        context["wrong"] = f"The text has {len(typed)} letters, and at most {queries.LONGEST} are read: shorten it."
    elif typed:
        if _is_number(typed):
            return redirect(f"{reverse('inventory:scan', args=[request.studio.slug])}?{urlencode({'code': typed})}")
        found = queries.owned(request.studio, typed)
        context["found"] = found
        if found.codes:
            try:
                with patience(PATIENCE):
                    context["adds"] = queries.what_it_adds(request.studio, found.codes, request.GET.get("binder", ""))
            except StillWorking as working:
                context["working"] = round(working.share * 100)
    return render(request, "inventory/owned/page.html", context)


def _is_number(typed: str) -> bool:
    try:
        read_gtin(typed)
    except BarcodeError:
        return False
    return True

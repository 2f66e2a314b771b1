"""Solvent in a room's air: a question in the address, answered with its formulas."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from safety.air_forms import AirForm
from safety.queries.air import quoted_limits, rag_cautions
from safety.rules.air_check import answer, drawing
from safety.rules.ventilation import SCREENING
from studio.access import StudioRequest, in_studio

WIDTH, HEIGHT = 400, 150


@require_safe
@in_studio()
def check(request: StudioRequest) -> HttpResponse:
    asked = "amount" in request.GET
    form = AirForm(request.studio, request.GET if asked else None)
    context = {"form": form, "screening": SCREENING, "width": WIDTH, "height": HEIGHT}
    if asked and form.is_valid():
        data = form.cleaned_data
        found = answer(data["question"], purge_to_mg_m3=data.get("purge_to_mg_m3"))
        context |= {
            "answer": found,
            "question": found.question,
            "solvent": data["found"],
            "room": data["room"],
            "limits": quoted_limits(found, data["found"].topics if data["found"] else (), request.studio.jurisdiction),
            "drawing": drawing(found.curve, width=WIDTH, height=HEIGHT),
            "table": found.curve[::6],
        }
    if asked and (material := form.cleaned_data.get("material")):
        context |= {"material": material, "rags": rag_cautions(request.studio, material)}
    return render(request, "safety/air.html", context)

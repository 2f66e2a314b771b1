"""What students brought, and what the class used in the end."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from inventory import restrictions
from inventory.forms.lessons import BroughtForm, RecordForm
from inventory.models import BroughtTube, Tube
from inventory.queries.lessons.brought import brought as checked
from inventory.queries.lessons.checked import lesson_now
from inventory.services import lessons as services
from inventory.stock.amounts import exact
from inventory.views.lessons.pages import found, refuse_on, rights
from studio import access
from studio.access import StudioRequest, require
from studio.models import Role


@require_http_methods(["GET", "POST"])
@access.in_studio()
def brought(request: StudioRequest, pk: int) -> HttpResponse:
    """Labels of what students brought, each held against the palette."""
    one = found(request, pk)
    form = BroughtForm(request.POST or None)
    if request.method == "POST":
        require(request.membership, Role.MEMBER)
        gone = request.POST.get("remove", "")
        if gone.isdecimal() and len(gone) < 19:
            row = get_object_or_404(BroughtTube.objects.filter(lesson=one), pk=int(gone))
            services.remove_brought(row)
            messages.success(request, f"“{row}” is off the list.")
            return redirect("inventory:lesson_brought", request.studio.slug, pk)
        if form.is_valid():
            try:
                services.add_brought(one, form.lines(), by=request.user, who=form.cleaned_data["who"])
            except ValidationError as error:
                refuse_on(form, error)
            else:
                return redirect("inventory:lesson_brought", request.studio.slug, pk)
    rows = checked(request.studio, lesson_now(request.studio, one))
    warnings = restrictions.warnings_of((row.row.text, row.found) for row in rows)
    context = {"lesson": one, "rows": rows, "warnings": warnings, "form": form, **rights(request)}
    return render(request, "inventory/lessons/brought.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
@access.in_studio(Role.TEACHER)
def record(request: StudioRequest, pk: int) -> HttpResponse:
    """One form for what the whole class used."""
    one = found(request, pk)
    lines = list(one.paints.all())
    items = [line.item_id for line in lines]
    tubes = Tube.objects.of(request.studio).usable().of_the_studio().filter(item__in=items).select_related("place")
    form = RecordForm(request.POST or None, lesson=one, lines=lines, tubes=tubes)
    if form.is_valid():
        data = form.cleaned_data
        try:
            done = services.record(
                one,
                form.used(),
                by=request.user,
                key=data["key"],
                tubes=form.tubes(),
                students=data["students"],
                note=data["note"],
            )
        except ValidationError as error:
            form.refuse(error)
        else:
            count = len({entry.tube_id for entry in done.entries})
            taken = f"taken from {count} container{'' if count == 1 else 's'}" if count else "nothing was used"
            messages.success(request, "It was written down already." if done.again else f"Written down: {taken}.")
            return redirect("inventory:lesson", request.studio.slug, pk)
    context = {"form": form, "lesson": one}
    return render(request, "inventory/lessons/record.html", context, status=422 if form.errors else 200)


@require_POST
@access.in_studio(Role.TEACHER)
def take_back(request: StudioRequest, pk: int) -> HttpResponse:
    one = found(request, pk)
    try:
        undone = services.take_back(one, by=request.user)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        back = sum(entry.change_milli for entry in undone)
        unit = next((line.unit for line in one.paints.all()), "ml")
        messages.success(request, f"The record is taken back; {exact(back, unit)} are on the shelf again.")
    return redirect("inventory:lesson", request.studio.slug, pk)

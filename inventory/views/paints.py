"""Paints and materials: what their labels say, what is asked about them, what stands on the shelf."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.forms.paints import MaterialForm, PaintFilter, PaintForm
from inventory.models import Binder, Item, Material, Paint
from inventory.queries import paints as rows
from inventory.queries.buying.wants import of_item
from inventory.services import paints as services
from studio.access import StudioRequest, in_studio, within
from studio.models import Role

A_PAGE = 50


@require_safe
@in_studio()
def paints(request: StudioRequest) -> HttpResponse:
    chosen = PaintFilter(request.GET).chosen()
    search, binder = chosen["search"], chosen["binder"]
    archived = request.GET.get("archived") == "yes"
    found = rows.paints(request.studio, search=search, binder=binder, archived=archived)
    page = Paginator(found, A_PAGE).get_page(request.GET.get("page"))
    stock = rows.stock_of(paint.pk for paint in page)
    materials = rows.materials(request.studio, search=search) if page.number == 1 and not (binder or archived) else []
    return render(
        request,
        "inventory/paints/list.html",
        {
            "page": page,
            "paints": [(paint, stock.get(paint.pk)) for paint in page],
            "materials": materials,
            "search": search,
            "binder": binder,
            "archived": archived,
            "binders": Binder.choices,
            "may_change": request.membership.may(Role.TEACHER),
        },
    )


@require_safe
@in_studio()
def paint(request: StudioRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(rows.paint(request.studio), pk=pk)
    return render(
        request,
        "inventory/paints/paint.html",
        {
            "paint": found,
            "readings": found.readings.all(),
            "near_codes": rows.near_codes(found),
            "tubes": rows.tubes_of(found),
            "stock": rows.stock_of([found.pk]).get(found.pk),
            "buying": of_item(request.studio, found),
            "may_change": request.membership.may(Role.TEACHER),
        },
    )


@require_http_methods(["GET", "POST"])
@in_studio(Role.TEACHER)
def paint_add(request: StudioRequest) -> HttpResponse:
    form = PaintForm(request.POST or None)
    if form.is_valid():
        try:
            made = services.add_paint(request.studio, by=request.user, texts=form.texts(), **form.fields_beside())
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, f"{made} is added. Now say what of it stands on the shelf.")
            return redirect("inventory:paint", request.studio.slug, made.pk)
    return render(request, "inventory/paints/form.html", {"form": form, "title": "Add a paint"})


@require_http_methods(["GET", "POST"])
@in_studio(Role.TEACHER)
def paint_change(request: StudioRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(rows.paint(request.studio), pk=pk)
    form = PaintForm(request.POST or None, initial=PaintForm.initial_of(found))
    if form.is_valid():
        try:
            services.change_paint(found, by=request.user, texts=form.texts(), **form.fields_beside())
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, f"{found} is read again.")
            return redirect("inventory:paint", request.studio.slug, found.pk)
    return render(
        request, "inventory/paints/form.html", {"form": form, "paint": found, "title": f"Change {found.name}"}
    )


@require_POST
@in_studio(Role.TEACHER)
def paint_answer(request: StudioRequest, pk: int) -> HttpResponse:
    """Settle one question about a label; the answer can be changed by typing the label again."""
    found = get_object_or_404(Paint.objects.of(request.studio), pk=pk)
    data = request.POST
    try:
        services.answer(
            found, field=data.get("field", ""), key=data.get("key", ""), value=data.get("value", ""), by=request.user
        )
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, f"{found}: {data.get('value') or 'left unknown'}, as you said. The typed text stays.")
    if data.get("next") == "questions":
        return redirect("inventory:questions", request.studio.slug)
    return redirect("inventory:paint", request.studio.slug, found.pk)


@require_safe
@in_studio()
def questions(request: StudioRequest) -> HttpResponse:
    """Every open question about a label, and every paint whose pigments nobody knows."""
    asked = Paginator(rows.open_questions(request.studio), A_PAGE).get_page(request.GET.get("page"))
    unknown = Paginator(rows.unknown_pigments(request.studio), A_PAGE).get_page(request.GET.get("unknown"))
    context = {"asked": asked, "unknown": unknown, "may_change": request.membership.may(Role.TEACHER)}
    return render(request, "inventory/paints/questions.html", context)


@require_POST
@in_studio(Role.TEACHER)
def archive(request: StudioRequest, pk: int) -> HttpResponse:
    item = get_object_or_404(within(Item.objects, request.studio), pk=pk)
    try:
        services.archive(item)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, f"{item} is off the lists. Its ledger stays; it can be brought back.")
    return _to_item(request, item)


@require_POST
@in_studio(Role.TEACHER)
def restore(request: StudioRequest, pk: int) -> HttpResponse:
    item = get_object_or_404(within(Item.objects, request.studio), pk=pk)
    services.restore(item)
    messages.success(request, f"{item} is on the lists again.")
    return _to_item(request, item)


def _to_item(request: StudioRequest, item: Item) -> HttpResponse:
    return redirect(f"inventory:{item.kind}", request.studio.slug, item.pk)


@require_safe
@in_studio()
def material(request: StudioRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(within(Material.objects, request.studio), pk=pk)
    return render(
        request,
        "inventory/paints/material.html",
        {
            "material": found,
            "tubes": rows.tubes_of(found),
            "stock": rows.stock_of([found.pk]).get(found.pk),
            "buying": of_item(request.studio, found),
            "may_change": request.membership.may(Role.TEACHER),
        },
    )


@require_http_methods(["GET", "POST"])
@in_studio(Role.TEACHER)
def material_add(request: StudioRequest) -> HttpResponse:
    form = MaterialForm(request.POST or None)
    if form.is_valid():
        try:
            made = services.add_material(request.studio, **form.fields_typed())
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, f"{made} is added. Now say what of it stands on the shelf.")
            return redirect("inventory:material", request.studio.slug, made.pk)
    return render(request, "inventory/paints/form.html", {"form": form, "title": "Add a medium, solvent or other"})


@require_http_methods(["GET", "POST"])
@in_studio(Role.TEACHER)
def material_change(request: StudioRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(within(Material.objects, request.studio), pk=pk)
    form = MaterialForm(request.POST or None, initial=MaterialForm.initial_of(found))
    if form.is_valid():
        try:
            services.change_material(found, **form.fields_typed())
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, f"{found} is changed.")
            return redirect("inventory:material", request.studio.slug, found.pk)
    return render(request, "inventory/paints/form.html", {"form": form, "title": f"Change {found.name}"})

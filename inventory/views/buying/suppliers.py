"""Who sells to the house."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.forms import Form
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from inventory.forms.buying import SupplierForm
from inventory.models import Supplier
from inventory.queries.buying import suppliers as queries
from inventory.services import buying as services
from studio import access
from studio.access import StudioRequest, require
from studio.models import Role


def refuse(form: Form, error: ValidationError) -> None:
    """Show what a service refused beside the field that it names, or above the form."""
    for field, errors in error.error_dict.items():
        seen = field in form.fields and not form.fields[field].widget.is_hidden
        form.add_error(field if seen else None, ValidationError(errors))


@require_http_methods(["GET", "POST"])
@access.in_studio()
def suppliers(request: StudioRequest) -> HttpResponse:
    """The suppliers with their lead times, as entered and as seen, and a form for another."""
    if request.method == "POST":
        require(request.membership, Role.TEACHER)
    form = SupplierForm(request.POST or None)
    if form.is_valid():
        try:
            supplier = services.add_supplier(request.studio, **form.cleaned_data)
        except ValidationError as error:
            refuse(form, error)
        else:
            messages.success(request, f"{supplier} is a supplier now.")
            return redirect("inventory:suppliers", request.studio.slug)
    context = {
        "suppliers": queries.suppliers(request.studio),
        "removed": queries.suppliers(request.studio, removed=True),
        "form": form,
        "may_plan": request.membership.may(Role.TEACHER),
    }
    return render(request, "inventory/buying/suppliers.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
@access.in_studio(Role.TEACHER)
def supplier(request: StudioRequest, pk: int) -> HttpResponse:
    """Change a supplier."""
    found = get_object_or_404(Supplier.objects.filter(studio=request.studio).select_related("studio"), pk=pk)
    form = SupplierForm(request.POST or None, initial=SupplierForm.initial_of(found))
    if form.is_valid():
        try:
            services.change_supplier(found, **form.cleaned_data)
        except ValidationError as error:
            refuse(form, error)
        else:
            messages.success(request, f"{form.cleaned_data['name']} is changed.")
            return redirect("inventory:suppliers", request.studio.slug)
    seen = queries.lead_times_seen(request.studio).get(found.pk)
    context = {"supplier": found, "seen": seen, "form": form}
    return render(request, "inventory/buying/supplier.html", context, status=422 if form.errors else 200)


@require_POST
@access.in_studio(Role.TEACHER)
def supplier_remove(request: StudioRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Supplier.objects.filter(studio=request.studio), pk=pk)
    if services.remove_supplier(found):
        messages.success(request, f"{found} is off the lists. Its offers, orders and deliveries stay.")
    else:
        messages.info(request, f"{found} was removed already; nothing was changed.")
    return redirect("inventory:suppliers", request.studio.slug)


@require_POST
@access.in_studio(Role.TEACHER)
def supplier_bring_back(request: StudioRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Supplier.objects.filter(studio=request.studio), pk=pk)
    if services.bring_back_supplier(found):
        messages.success(request, f"{found} is a supplier again.")
    return redirect("inventory:suppliers", request.studio.slug)

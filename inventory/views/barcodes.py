"""A number typed or scanned at the shelf: what it stands for, or what to do with it."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.forms.barcodes import LinkForm, ScannedPaintForm
from inventory.forms.tubes import new_key
from inventory.labels.barcodes import BarcodeError, Gtin, OwnCode, read_gtin, read_own, read_tube_number
from inventory.models import Barcode
from inventory.queries import barcodes as queries
from inventory.services import barcodes as services
from studio.access import StudioRequest, in_studio
from studio.models import Role

LONGEST_CODE = 300


def _scan_url(request: StudioRequest, code: str, **more: str) -> str:
    return f"{reverse('inventory:scan', args=[request.studio.slug])}?{urlencode({'code': code, **more})}"


@require_safe
@never_cache
@in_studio()
def scan(request: StudioRequest) -> HttpResponse:
    """One field; its answer is a tube's page, a place on the shelf, or what the maker's number stands for."""
    code = request.GET.get("code", "").strip()
    context: dict[str, Any] = {"code": code, "may_write": request.membership.may(Role.MEMBER)}
    if not code:
        return render(request, "inventory/barcodes/scan.html", context)
    if (own := read_own(code)) is not None:
        return _own(request, own, context)
    if (number := read_tube_number(code)) is not None:
        if queries.on_the_shelf(request.studio, number) is not None:
            return redirect("inventory:tube", request.studio.slug, number)
        context["wrong"] = f"There is no tube no. {number} here. For a bar code type all of its digits."
        return render(request, "inventory/barcodes/scan.html", context)
    try:
        gtin = read_gtin(code)
    except BarcodeError as error:
        context |= {"wrong": str(error), "words": _is_words(code)}
        return render(request, "inventory/barcodes/scan.html", context)
    return _number(request, gtin, context)


def _is_words(code: str) -> bool:
    return any(letter.isalpha() for letter in code) and "://" not in code


def _own(request: StudioRequest, own: OwnCode, context: dict[str, Any]) -> HttpResponse:
    if own.slug != request.studio.slug:
        context["wrong"] = "This label was printed by another studio: open its address in the browser."
        return render(request, "inventory/barcodes/scan.html", context)
    if own.tube is not None:
        if queries.on_the_shelf(request.studio, own.tube) is not None:
            return redirect("inventory:tube", request.studio.slug, own.tube)
        context["wrong"] = f"There is no tube no. {own.tube} here any more."
        return render(request, "inventory/barcodes/scan.html", context)
    shelf = reverse("inventory:shelf", args=[request.studio.slug])
    return redirect(f"{shelf}?{urlencode({'place': own.place or 0})}")


def _number(request: StudioRequest, gtin: Gtin, context: dict[str, Any]) -> HttpResponse:
    found = queries.known(request.studio, gtin.digits)
    search = request.GET.get("q", "").strip()[:100]
    context |= {
        "gtin": gtin,
        "found": found,
        "key": new_key(),
        "receive_key": new_key(),
        "search": search,
        "candidates": [] if found else queries.candidates(request.studio, search),
        "may_add": request.membership.may(Role.TEACHER),
    }
    return render(request, "inventory/barcodes/scan.html", context)


@require_POST
@in_studio(Role.MEMBER)
def link(request: StudioRequest) -> HttpResponse:
    """Say which paint or material a number stands for."""
    code = request.POST.get("code", "")[:LONGEST_CODE]
    form = LinkForm(request.POST, studio=request.studio)
    if form.is_valid():
        item = form.cleaned_data["item"]
        try:
            services.link(request.studio, item, code=form.cleaned_data["code"], by=request.user, **form.size_fields())
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
        else:
            messages.success(request, f"From now on this number finds {item}.")
    else:
        messages.error(request, " ".join(str(error) for errors in form.errors.values() for error in errors))
    return redirect(_scan_url(request, code))


@require_http_methods(["GET", "POST"])
@in_studio(Role.TEACHER)
def add(request: StudioRequest) -> HttpResponse:
    """A paint that is new here, with the number that was scanned."""
    form = ScannedPaintForm(request.POST or None, initial={"code": request.GET.get("code", "")[:40]})
    if form.is_valid():
        try:
            made = services.add_paint_with(
                request.studio,
                code=form.cleaned_data["code"],
                by=request.user,
                texts=form.texts(),
                **form.size_fields(),
                **form.fields_beside(),
            )
        except ValidationError as error:
            form.add_error(None, ValidationError(error.messages))
        else:
            messages.success(request, f"{made} is added, and its number finds it. Now say what stands on the shelf.")
            return redirect("inventory:receive", request.studio.slug, made.pk)
    status = 422 if form.errors else 200
    code = form["code"].value() or ""
    return render(request, "inventory/barcodes/add.html", {"form": form, "code": code}, status=status)


@require_POST
@in_studio(Role.MEMBER)
def receive(request: StudioRequest, pk: int) -> HttpResponse:
    """One more container of what was scanned; its key makes two taps one."""
    barcode = get_object_or_404(_barcodes(request), pk=pk)
    try:
        tube = services.receive_one(barcode, by=request.user, key=request.POST.get("key", "")[:60] or new_key())
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect(_scan_url(request, barcode.digits))
    messages.success(request, f"{barcode.item} is on the shelf as no. {tube.number}: write that on the tube.")
    return redirect(_scan_url(request, barcode.digits))


@require_POST
@in_studio(Role.MEMBER)
def remove(request: StudioRequest, pk: int) -> HttpResponse:
    """The number stands for something else, or for nothing here."""
    barcode = get_object_or_404(_barcodes(request), pk=pk)
    digits, item = barcode.digits, barcode.item
    services.unlink(barcode)
    messages.success(request, f"{digits} does not stand for {item} any more. Link it again below.")
    return redirect(_scan_url(request, digits))


def _barcodes(request: StudioRequest) -> Any:
    return Barcode.objects.filter(studio=request.studio).select_related("item", "studio")

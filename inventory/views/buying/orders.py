"""Orders: written, sent, received in parts, sent back, closed."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.forms.buying import DraftForm, LineForm, NumberForm, ReceiveForm, ReturnForm, SendForm
from inventory.models import Delivery, Order, OrderLine, OrderState, Supplier, Want
from inventory.queries.buying import orders as queries
from inventory.queries.buying.offers import standing_offers
from inventory.queries.buying.requisition import requisition_of
from inventory.services import buying as services
from inventory.views.buying.page import as_csv, as_pdf
from inventory.views.buying.suppliers import refuse
from studio import access
from studio.access import StudioRequest, require
from studio.models import Role


@require_http_methods(["GET", "POST"])
@access.in_studio()
def orders(request: StudioRequest) -> HttpResponse:
    """All orders, the newest first, and a form for an empty one."""
    if request.method == "POST":
        require(request.membership, Role.TEACHER)
    form = DraftForm(request.POST or None, studio=request.studio)
    if form.is_valid():
        try:
            made = services.draft(request.studio, by=request.user, **form.cleaned_data)
        except ValidationError as error:
            refuse(form, error)
        else:
            return redirect("inventory:order", request.studio.slug, made.pk)
    context = {
        "orders": queries.orders(request.studio),
        "form": form,
        "may_plan": request.membership.may(Role.TEACHER),
    }
    return render(request, "inventory/buying/orders.html", context, status=422 if form.errors else 200)


@require_POST
@access.in_studio(Role.TEACHER)
def from_wants(request: StudioRequest) -> HttpResponse:
    """Turn lines of the list into an order of one supplier."""
    chosen = [int(pk) for pk in request.POST.getlist("want") if pk.isdecimal() and len(pk) < 19]
    supplier = Supplier.objects.filter(studio=request.studio, pk=_number(request.POST.get("supplier"))).first()
    if supplier is None:
        messages.error(request, "Choose a supplier for these lines: add one first if there is none.")
        return redirect("inventory:buying", request.studio.slug)
    wants = Want.objects.filter(studio=request.studio, pk__in=chosen)
    try:
        made = services.draft_from_wants(request.studio, supplier=supplier, wants=wants, by=request.user)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect("inventory:buying", request.studio.slug)
    messages.success(request, "The order is written. Look at its lines, then mark it as sent.")
    return redirect("inventory:order", request.studio.slug, made.pk)


def _number(text: str | None) -> int:
    return int(text) if text and text.isdecimal() and len(text) < 19 else 0


def _order(request: StudioRequest, pk: int) -> Order:
    return get_object_or_404(queries.orders_of(request.studio), pk=pk)


@require_safe
@never_cache
@access.in_studio()
def order(request: StudioRequest, pk: int) -> HttpResponse:
    return _page(request, _order(request, pk))


def _page(request: StudioRequest, order: Order, **forms: Any) -> HttpResponse:
    found = queries.order_page(order)
    wrong = next(iter(forms.values()), None)
    offers = standing_offers(order.supplier, timezone.localdate()).order_by("name", "nominal_milli")
    context = {
        "page": found,
        "order": order,
        "line_form": LineForm(offers=offers) if order.state == OrderState.DRAFT else None,
        "send_form": SendForm(initial={"reference": order.reference}) if order.state == OrderState.DRAFT else None,
        "receive_form": ReceiveForm(studio=request.studio, page=found, auto_id="receive_%s")
        if order.state == OrderState.SENT
        else None,
        "return_form": ReturnForm(page=found, auto_id="return_%s") if found.returnable else None,
        "may_write": request.membership.may(Role.MEMBER),
        "may_plan": request.membership.may(Role.TEACHER),
        "may_decide": request.membership.may(Role.KEEPER),
        "wrong": wrong,
        **forms,
    }
    return render(request, "inventory/buying/order.html", context, status=422 if wrong else 200)


@require_POST
@access.in_studio(Role.TEACHER)
def line_add(request: StudioRequest, pk: int) -> HttpResponse:
    order = _order(request, pk)
    form = LineForm(request.POST, offers=standing_offers(order.supplier, timezone.localdate()))
    if form.is_valid():
        try:
            services.add_line(order, offer=form.cleaned_data["offer"], packs=form.cleaned_data["packs"])
        except ValidationError as error:
            refuse(form, error)
        else:
            return redirect("inventory:order", request.studio.slug, order.pk)
    return _page(request, order, line_form=form)


def _line(request: StudioRequest, pk: int, line_pk: int) -> OrderLine:
    rows = OrderLine.objects.filter(order__studio=request.studio, order=pk)
    return get_object_or_404(rows.select_related("order__supplier", "offer"), pk=line_pk)


@require_POST
@access.in_studio(Role.TEACHER)
def line_change(request: StudioRequest, pk: int, line_pk: int) -> HttpResponse:
    line = _line(request, pk, line_pk)
    form = NumberForm(request.POST)
    if form.is_valid():
        _do(request, lambda: services.change_line(line, packs=form.cleaned_data["number"]), f"{line.name} is changed.")
    else:
        messages.error(request, f"{line.name}: {' '.join(map(str, form.errors['number']))}")
    return redirect("inventory:order", request.studio.slug, pk)


def _do(request: StudioRequest, deed: Any, words: str) -> bool:
    """Do it and say so, or say why not."""
    try:
        deed()
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return False
    messages.success(request, words)
    return True


@require_POST
@access.in_studio(Role.TEACHER)
def line_remove(request: StudioRequest, pk: int, line_pk: int) -> HttpResponse:
    line = _line(request, pk, line_pk)
    words = f"{line.name} is off this order. What was wanted is on the list again."
    _do(request, lambda: services.remove_line(line), words)
    return redirect("inventory:order", request.studio.slug, pk)


@require_POST
@access.in_studio(Role.TEACHER)
def line_rest(request: StudioRequest, pk: int, line_pk: int) -> HttpResponse:
    """What is to be said of the rest of a line: coming later, coming, or not coming."""
    line = _line(request, pk, line_pk)
    rest = request.POST.get("rest", "")
    if rest == "short":
        _do(request, lambda: services.close_short(line), f"The rest of {line.name} is not coming.")
    elif rest in ("back", "open"):
        words = "back-ordered" if rest == "back" else "expected"
        _do(
            request,
            lambda: services.expect_rest(line, back_ordered=rest == "back"),
            f"The rest of {line.name} is {words}.",
        )
    else:
        messages.error(request, "Say what is known of the rest: back-ordered, expected, or not coming.")
    return redirect("inventory:order", request.studio.slug, pk)


@require_POST
@access.in_studio(Role.KEEPER)
def send(request: StudioRequest, pk: int) -> HttpResponse:
    order = _order(request, pk)
    form = SendForm(request.POST)
    if form.is_valid():
        try:
            sent = services.mark_sent(order, **form.cleaned_data)
        except ValidationError as error:
            refuse(form, error)
        else:
            words = f"It is expected on {sent.expected_on:%-d %B %Y}." if sent.expected_on else ""
            messages.success(request, f"The order was sent on {sent.placed_on:%-d %B %Y}. {words}".strip())
            return redirect("inventory:order", request.studio.slug, order.pk)
    return _page(request, order, send_form=form)


@require_POST
@access.in_studio(Role.KEEPER)
def cancel(request: StudioRequest, pk: int) -> HttpResponse:
    order = _order(request, pk)
    words = "The order is cancelled. What was wanted is on the list again."
    _do(request, lambda: services.cancel(order, note=request.POST.get("note", "")[:300]), words)
    return redirect("inventory:order", request.studio.slug, order.pk)


@require_POST
@access.in_studio(Role.KEEPER)
def reopen(request: StudioRequest, pk: int) -> HttpResponse:
    order = _order(request, pk)
    _do(request, lambda: services.reopen(order), "The order is open again.")
    return redirect("inventory:order", request.studio.slug, order.pk)


@require_POST
@access.in_studio(Role.MEMBER)
def receive(request: StudioRequest, pk: int) -> HttpResponse:
    """Put what came on the shelf. Sent twice it is entered once."""
    order = _order(request, pk)
    found = queries.order_page(order)
    form = ReceiveForm(request.POST, studio=request.studio, page=found, auto_id="receive_%s")
    if form.is_valid():
        given = form.arrived()
        repeated = order.deliveries.filter(key=given["key"]).exists()
        try:
            delivery = services.receive_delivery(order, by=request.user, **given)
        except ValidationError as error:
            form.refuse(error)
            # What the page shows now is what the next try rests on.
            form.data = {**form.data, "seen": str(found.seen)}
        else:
            _say_received(request, order, delivery, repeated=repeated)
            return redirect("inventory:order", request.studio.slug, order.pk)
    return _page(request, order, receive_form=form)


def _say_received(request: StudioRequest, order: Order, delivery: Delivery, *, repeated: bool) -> None:
    if repeated:
        messages.info(request, "That parcel was entered before already, so nothing was added.")
        return
    if delivery.pk is None:
        messages.success(request, "What is known of the rest is written down.")
        return
    tubes = [entry.tube for entry in queries.entries_of(delivery)]
    numbers = f"no. {tubes[0].number}" if len(tubes) == 1 else f"no. {tubes[0].number} to {tubes[-1].number}"
    undo = reverse("inventory:order_take_back", args=[request.studio.slug, order.pk])
    words = f"{len(tubes)} {'container is' if len(tubes) == 1 else 'containers are'} on the shelf as {numbers}."
    messages.success(request, words, extra_tags=f"{undo}?delivery={delivery.pk}")
    order.refresh_from_db()
    for now in queries.order_page(order).now.lines:
        if now.over:
            messages.info(request, f"{now.line.name}: {now.came} came, {now.over} more than were ordered.")


@require_POST
@access.in_studio(Role.MEMBER)
def take_back(request: StudioRequest, pk: int) -> HttpResponse:
    """A parcel that was entered by mistake: correcting entries, and it is to come again."""
    order = _order(request, pk)
    number = _number(request.POST.get("delivery") or request.GET.get("delivery"))
    delivery = get_object_or_404(Delivery.objects.filter(order=order), pk=number)
    words = "The return is taken back: the containers are on the shelf again."
    if not delivery.returned:
        words = "The delivery is taken back: its containers are off the shelf, and are to come again."
    _do(request, lambda: services.take_back(delivery, by=request.user), words)
    return redirect("inventory:order", request.studio.slug, order.pk)


@require_POST
@access.in_studio(Role.TEACHER)
def send_back(request: StudioRequest, pk: int) -> HttpResponse:
    order = _order(request, pk)
    form = ReturnForm(request.POST, page=queries.order_page(order), auto_id="return_%s")
    if form.is_valid():
        data = form.cleaned_data
        tubes = [tube.pk for tube in data["tubes"]]
        try:
            services.send_back(
                order, tubes, by=request.user, why=data["note"], replaced=data["replaced"], key=data["key"]
            )
        except ValidationError as error:
            form.refuse(error)
        else:
            coming = "Others are to come for them." if data["replaced"] else "Nothing is to come for them."
            messages.success(request, f"{len(tubes)} went back and off the shelf. {coming}")
            return redirect("inventory:order", request.studio.slug, order.pk)
    return _page(request, order, return_form=form)


@require_safe
@access.in_studio()
def requisition_pdf(request: StudioRequest, pk: int) -> HttpResponse:
    order = _order(request, pk)
    return as_pdf(request, requisition_of(order), f"order-{order.pk}")


@require_safe
@access.in_studio()
def requisition_csv(request: StudioRequest, pk: int) -> HttpResponse:
    order = _order(request, pk)
    return as_csv(requisition_of(order), f"order-{order.pk}")

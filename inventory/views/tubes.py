"""One tube: what it is, what is left, what happened to it, and the next thing to happen."""

from collections.abc import Callable
from typing import Any, NamedTuple

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory import services
from inventory.forms import tubes as forms
from inventory.models import Condition, Entry, Item, OwnerKind, Tube, TubeState, Unit
from inventory.models.tube import exact
from inventory.printing.labels import SHEETS
from inventory.queries import tubes as queries
from inventory.queries.shelf import ShelfRow, row_of
from studio import access
from studio.access import StudioRequest, require
from studio.models import Role, User

Perform = Callable[[Tube, dict[str, Any], User], Entry]


class Deed(NamedTuple):
    """A thing that happens to a tube: its words on the page, its form, and the service that writes it."""

    words: str
    button: str
    form: type[forms.TubeForm]
    perform: Perform


def _milli(data: dict[str, Any], name: str) -> int | None:
    return data[name].milli if data[name] else None


def _beside(data: dict[str, Any]) -> dict[str, Any]:
    """What every deed takes beside its own figures."""
    return {"key": data["key"], "note": data["note"], "at": data["at"]}


def _use(tube: Tube, data: dict[str, Any], by: User) -> Entry:
    return services.record_use(tube, amount_milli=data["amount"].milli, by=by, **_beside(data))


def _finish(tube: Tube, data: dict[str, Any], by: User) -> Entry:
    return services.finish(tube, by=by, **_beside(data))


def _left(tube: Tube, data: dict[str, Any], by: User) -> Entry:
    left = data["left"]
    if left.unit == Unit.G != tube.unit:
        return services.weigh_left(tube, net_milli_g=left.milli, by=by, **_beside(data))
    return services.estimate_left(tube, left_milli=left.milli, by=by, **_beside(data))


def _weigh(tube: Tube, data: dict[str, Any], by: User) -> Entry:
    return services.weigh(
        tube,
        gross_milli_g=data["gross"].milli,
        tare_milli_g=_milli(data, "tare") if "tare" in data else None,
        density_milli=data.get("density"),
        is_full=data.get("is_full", False),
        with_estimates=data.get("with_estimates", False),
        by=by,
        **_beside(data),
    )


def _examine(tube: Tube, data: dict[str, Any], by: User) -> Entry:
    return services.examine(tube, condition=data["condition"], by=by, **_beside(data))


def _move(tube: Tube, data: dict[str, Any], by: User) -> Entry:
    return services.move(tube, place=data["place"], by=by, **_beside(data))


def _lend(tube: Tube, data: dict[str, Any], by: User) -> Entry:
    return services.lend(tube, to=data["to"], by=by, key=data["key"], at=data["at"])


def _return(tube: Tube, data: dict[str, Any], by: User) -> Entry:
    return services.return_loan(tube, by=by, **_beside(data))


def _discard(tube: Tube, data: dict[str, Any], by: User) -> Entry:
    return services.discard(tube, by=by, **_beside(data))


DEEDS = {
    "use": Deed("Used another amount", "Write it down", forms.UseForm, _use),
    "finish": Deed("Finished", "Finished", forms.DeedForm, _finish),
    "left": Deed("See what is left", "Write it down", forms.LeftForm, _left),
    "weigh": Deed("Weighed", "Write it down", forms.WeighForm, _weigh),
    "examine": Deed("Looked at: dried up, separated, mouldy", "Write it down", forms.ExamineForm, _examine),
    "move": Deed("Moved", "Moved", forms.MoveForm, _move),
    "lend": Deed("Lent", "Lent", forms.LendForm, _lend),
    "return": Deed("Brought back", "Brought back", forms.DeedForm, _return),
    "discard": Deed("Thrown away", "Throw away", forms.DeedForm, _discard),
}
WEIGH_EMPTY = Deed("Weigh the empty container", "Write it down", forms.EmptyWeighForm, _weigh)


def _deed(name: str, tube: Tube) -> Deed:
    return WEIGH_EMPTY if name == "weigh" and tube.state == TubeState.EMPTY else DEEDS[name]


class Offer(NamedTuple):
    """A deed as the page offers it: folded up until it is wanted, or open with what went wrong."""

    name: str
    deed: Deed
    form: forms.TubeForm
    url: str
    is_open: bool


def _tube(request: StudioRequest, number: int) -> Tube:
    found = queries.tube(request.studio, number)
    if found is None:
        raise Http404(f"There is no tube {number} on this shelf.")
    return found


def _offers(
    request: StudioRequest, tube: Tube, row: ShelfRow, wrong: str, form: forms.TubeForm | None
) -> dict[str, Offer]:
    if not request.membership.may(Role.MEMBER):
        return {}
    in_use = tube.state != TubeState.EMPTY
    loan = "return" if row.lent_to else "lend"
    names = ["use", "finish", "left", "weigh", "examine", "move", loan, "discard"]
    if not in_use:
        names = ["weigh", "move", *(["return"] if row.lent_to else [])]
    offers = {}
    for name in names:
        deed = _deed(name, tube)
        shown = form if form is not None and name == wrong else deed.form(tube=tube, auto_id=f"{name}_%s")
        url = reverse(f"inventory:tube_{name}", args=[request.studio.slug, tube.number])
        offers[name] = Offer(name, deed, shown, url, name == wrong)
    return offers


def _owner_offer(request: StudioRequest, tube: Tube, form: forms.TubeForm | None) -> forms.TubeForm | None:
    if not request.membership.may(Role.KEEPER):
        return None
    return form or forms.OwnerForm(tube=tube, auto_id="give_%s")


def _share_offer(request: StudioRequest, tube: Tube) -> forms.TubeForm | None:
    may = tube.owner_id == request.user.pk or request.membership.may(Role.KEEPER)
    theirs = tube.owner_kind != OwnerKind.STUDIO and tube.state != TubeState.EMPTY
    return forms.ShareForm(tube=tube, auto_id="share_%s") if may and theirs else None


def _page(request: StudioRequest, tube: Tube, wrong: str = "", form: forms.TubeForm | None = None) -> HttpResponse:
    row = row_of(tube)
    offers = _offers(request, tube, row, wrong, form)
    history = queries.history(tube)
    may_keep = request.membership.may(Role.KEEPER)
    unusable = tube.state != TubeState.EMPTY and tube.condition != Condition.USABLE
    context = {
        "row": row,
        "tube": tube,
        "quick": queries.quick_uses(tube) if offers and not unusable else [],
        "use": offers.get("use"),
        "finish": offers.get("finish"),
        "offers": [offer for name, offer in offers.items() if name != "finish"],
        "history": history,
        "may_undo": may_keep or not any(line.entry.is_left_to_keepers(request.user) for line in history[:1]),
        "may_write": bool(offers),
        "wrong": form,
        "tare": "" if tube.tare_milli_g is None else exact(tube.tare_milli_g, Unit.G),
        "unusable": unusable,
        "owner": _owner_offer(request, tube, form if wrong == "give" else None),
        "share": _share_offer(request, tube),
        "label_sheet": SHEETS[0].key,
    }
    return render(request, "inventory/tube.html", context, status=422 if form else 200)


@require_safe
@never_cache
@access.in_studio()
def tube(request: StudioRequest, number: int) -> HttpResponse:
    """The page that a tap on the shelf opens; going back to it later shows the tube as it is then."""
    return _page(request, _tube(request, number))


@require_POST
@access.in_studio(Role.MEMBER)
def act(request: StudioRequest, number: int, deed: str) -> HttpResponse:
    """Write one entry, say what was written, and offer to take it back."""
    tube = _tube(request, number)
    done = _deed(deed, tube)
    form = done.form(request.POST, tube=tube, auto_id=f"{deed}_%s")
    if form.is_valid():
        repeated = queries.entries(request.studio).filter(key=form.cleaned_data["key"]).exists()
        try:
            entry = done.perform(tube, form.cleaned_data, request.user)
        except ValidationError as error:
            form.refuse(error)
        else:
            _say(request, tube, entry, repeated=repeated)
            return redirect("inventory:tube", request.studio.slug, number)
    return _page(request, _tube(request, number), deed, form)


def _say(request: StudioRequest, tube: Tube, entry: Entry, *, repeated: bool) -> None:
    words = queries.Line(entry, tube.unit).words
    if repeated:
        messages.info(request, f"{words}. That was written before already, so nothing was added.")
        return
    left = "It is finished." if tube.state == TubeState.EMPTY else f"{_about(tube)} is left."
    undo = reverse("inventory:entry_undo", args=[request.studio.slug, entry.pk])
    messages.success(request, f"{words}. {left}", extra_tags=undo)


def _about(tube: Tube) -> str:
    return f"About {tube.balance}" if tube.balance_is_estimate else tube.balance


def _entry(request: StudioRequest, pk: int) -> Entry:
    """An entry that is to be taken back or put right."""
    entry = get_object_or_404(queries.entries(request.studio), pk=pk)
    if entry.is_left_to_keepers(request.user):
        require(request.membership, Role.KEEPER)
    return entry


@require_POST
@access.in_studio(Role.MEMBER)
def undo(request: StudioRequest, pk: int) -> HttpResponse:
    """Take an entry back by another one. Its key is that of the entry, so that two taps take it back once."""
    entry = _entry(request, pk)
    words = queries.Line(entry, entry.tube.unit).words
    try:
        written = services.undo(entry, by=request.user, key=f"undo-{entry.pk}")
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, f"Taken back: {words}. {_about(written.tube)} is left.")
    return redirect("inventory:tube", request.studio.slug, entry.tube.number)


@require_http_methods(["GET", "POST"])
@access.in_studio(Role.MEMBER)
def correct(request: StudioRequest, pk: int) -> HttpResponse:
    """Write what an entry should have said; the entry itself stays as it was written."""
    entry = _entry(request, pk)
    form = forms.correct_form(entry)(request.POST or None, entry=entry)
    if form.is_valid():
        try:
            written = _correct(entry, form, request.user)
        except ValidationError as error:
            form.refuse(error)
        else:
            _say(request, written.tube, written, repeated=False)
            return redirect("inventory:tube", request.studio.slug, entry.tube.number)
    context = {"entry": entry, "line": queries.Line(entry, entry.tube.unit), "form": form, "tube": entry.tube}
    return render(request, "inventory/correct.html", context, status=422 if form.errors else 200)


def _correct(entry: Entry, form: forms.CorrectForm, by: User) -> Entry:
    data = form.cleaned_data
    amount, told = data["amount"].milli, {"by": by, "reason": data["note"], "key": data["key"]}
    if isinstance(form, forms.CorrectWeighingForm):
        tare = data["tare"].milli if data["tare"] else None
        return services.correct_weighing(entry, gross_milli_g=amount, tare_milli_g=tare, **told)
    if isinstance(form, forms.CorrectLeftForm):
        return services.correct_left(entry, left_milli=amount, **told)
    return services.correct(entry, change_milli=form.change_milli(), **told)


@require_POST
@access.in_studio(Role.MEMBER)
def give(request: StudioRequest, number: int) -> HttpResponse:
    """It belongs to somebody else from now on: a keeper writes that down."""
    require(request.membership, Role.KEEPER)
    tube = _tube(request, number)
    form = forms.OwnerForm(request.POST, tube=tube, auto_id="give_%s")
    if form.is_valid():
        kind, owner, owner_class = form.owner_fields()
        beside = _beside(form.cleaned_data)
        try:
            services.give(tube, owner_kind=kind, owner=owner, owner_class=owner_class, by=request.user, **beside)
        except ValidationError as error:
            form.refuse(error)
        else:
            messages.success(request, f"{tube} is {tube.whose_words} now.")
            return redirect("inventory:tube", request.studio.slug, number)
    return _page(request, _tube(request, number), "give", form)


@require_POST
@access.in_studio(Role.MEMBER)
def share(request: StudioRequest, number: int) -> HttpResponse:
    """Its owner, or a keeper, lets it count for the studio, or takes that back."""
    tube = _tube(request, number)
    if tube.owner_id != request.user.pk:
        require(request.membership, Role.KEEPER)
    form = forms.ShareForm(request.POST, tube=tube, auto_id="share_%s")
    if form.is_valid():
        shared = form.cleaned_data["shared"] == "yes"
        try:
            services.share(tube, shared=shared, by=request.user, **_beside(form.cleaned_data))
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
        else:
            whom = "counts for the studio too" if shared else "counts for its owner alone"
            messages.success(request, f"{tube} {whom} now.")
        return redirect("inventory:tube", request.studio.slug, number)
    return _page(request, tube, "share", form)


@require_http_methods(["GET", "POST"])
@access.in_studio()
def receive(request: StudioRequest, pk: int) -> HttpResponse:
    """Put new tubes of a paint or material on the shelf."""
    item = get_object_or_404(Item.objects.of(request.studio).kept(), pk=pk)
    require(request.membership, Role.MEMBER)
    form = forms.ReceiveForm(request.POST or None, studio=request.studio, initial=_as_last_time(item))
    if form.is_valid():
        try:
            tubes = _receive(request, item, form)
        except ValidationError as error:
            form.refuse(error)
        else:
            return _received(request, item, tubes)
    context = {"item": item, "form": form}
    return render(request, "inventory/receive.html", context, status=422 if form.errors else 200)


def _as_last_time(item: Item) -> dict[str, Any]:
    last = item.tubes.order_by("-pk").first()
    return {"size": last.nominal, "place": last.place_id} if last else {}


def _receive(request: StudioRequest, item: Item, form: forms.ReceiveForm) -> list[Tube]:
    data = form.cleaned_data
    kind, owner, owner_class = form.owner_fields()
    return services.receive(
        request.studio,
        item,
        nominal_milli=data["size"].milli,
        unit=data["size"].unit,
        by=request.user,
        count=data["count"],
        state=data["state"],
        left_milli=_milli(data, "left"),
        left_is_estimate=bool(data["left"] and data["left"].estimated),
        place=data["place"],
        owner_kind=kind,
        owner=owner,
        owner_class=owner_class,
        batch=data["batch"],
        tare_milli_g=_milli(data, "tare"),
        note=data["note"],
        key=data["key"],
    )


def _received(request: StudioRequest, item: Item, tubes: list[Tube]) -> HttpResponse:
    first, last = tubes[0], tubes[-1]
    if len(tubes) == 1:
        messages.success(request, f"{item} is on the shelf as no. {first.number}: write that on the tube.")
        return redirect("inventory:tube", request.studio.slug, first.number)
    messages.success(
        request,
        f"{len(tubes)} tubes of {item} are on the shelf as no. {first.number} to {last.number}: "
        "write the numbers on them.",
    )
    return redirect(f"{reverse('inventory:shelf', args=[request.studio.slug])}?q={item.name}")

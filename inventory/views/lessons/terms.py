"""Terms, and one copied into another."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from inventory.forms.lessons import IntoForm, TermForm
from inventory.models import Term
from inventory.queries.lessons import lists
from inventory.queries.lessons import terms as reads
from inventory.services import lessons as services
from inventory.views.lessons.pages import refuse_on, rights
from studio import access
from studio.access import StudioRequest, require
from studio.models import Role


@require_http_methods(["GET", "POST"])
@access.in_studio()
def terms(request: StudioRequest) -> HttpResponse:
    if request.method == "POST":
        require(request.membership, Role.TEACHER)
    known = list(reads.terms(request.studio))
    form = TermForm(request.POST or None, initial=TermForm.next_after(known[0] if known else None))
    if form.is_valid():
        try:
            made = services.add_term(request.studio, **form.cleaned_data)
        except ValidationError as error:
            refuse_on(form, error)
        else:
            messages.success(request, f"{made} is a term now.")
            return redirect("inventory:terms", request.studio.slug)
    context = {"terms": known, "form": form, **rights(request)}
    return render(request, "inventory/lessons/terms.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
@access.in_studio()
def term(request: StudioRequest, pk: int) -> HttpResponse:
    """The lessons of a term in order, and a form to move its days."""
    one = get_object_or_404(Term.objects.filter(studio=request.studio), pk=pk)
    if request.method == "POST":
        require(request.membership, Role.TEACHER)
    first = {name: getattr(one, name) for name in ("name", "starts_on", "ends_on")}
    form = TermForm(request.POST or None, initial=first)
    if form.is_valid():
        try:
            services.change_term(one, **form.cleaned_data)
        except ValidationError as error:
            refuse_on(form, error)
            one.refresh_from_db()
        else:
            messages.success(request, "The term is changed.")
            return redirect("inventory:term", request.studio.slug, pk)
    context = {
        "term": one,
        "rows": lists.rows_of(lists.in_term(request.studio, one)),
        "form": form,
        "into": IntoForm(term=one),
        **rights(request),
    }
    return render(request, "inventory/lessons/term.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
@access.in_studio(Role.TEACHER)
def copy(request: StudioRequest, pk: int) -> HttpResponse:
    """What a copy into another term would be, line by line; sent, it is made."""
    one = get_object_or_404(Term.objects.filter(studio=request.studio), pk=pk)
    form = IntoForm(request.POST or request.GET or None, term=one)
    found = None
    if form.is_valid():
        into = form.cleaned_data["into"]
        if request.method == "POST":
            try:
                made = services.copy_term(one, into, by=request.user)
            except ValidationError as error:
                refuse_on(form, error)
            else:
                count = len(made.copied)
                messages.success(request, f"{count} lesson{'' if count == 1 else 's'} copied into {into}.")
                return redirect("inventory:term", request.studio.slug, into.pk)
        found = reads.term_copy(one, into)
    context = {"term": one, "form": form, "copy": found}
    return render(request, "inventory/lessons/copy.html", context, status=422 if form.errors else 200)


@require_POST
@access.in_studio(Role.TEACHER)
def remove(request: StudioRequest, pk: int) -> HttpResponse:
    one = get_object_or_404(Term.objects.filter(studio=request.studio), pk=pk)
    try:
        services.remove_term(one)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect("inventory:term", request.studio.slug, pk)
    messages.success(request, f"{one} is no term any more.")
    return redirect("inventory:terms", request.studio.slug)

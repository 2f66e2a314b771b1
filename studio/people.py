"""Who is in a studio, and what the studio is: pages for its keepers."""

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from studio import services
from studio.access import StudioRequest, in_studio, within
from studio.models import Membership, Role, Studio


class MemberForm(forms.Form):
    username = forms.CharField(
        label="User name",
        max_length=150,
        help_text="Of somebody who has an account here already. Whoever runs the service makes one.",
    )
    role = forms.ChoiceField(
        label="Role",
        choices=Role.choices,
        initial=Role.MEMBER,
        help_text="A student reads; a member records use; a teacher also changes labels, levels and notices; "
        "a keeper also says who is in.",
    )


class StudioForm(forms.ModelForm):
    class Meta:
        model = Studio
        fields = ("name", "jurisdiction", "currency", "emergency_contact")


@require_http_methods(["GET", "POST"])
@in_studio(Role.KEEPER)
def people(request: StudioRequest) -> HttpResponse:
    form = MemberForm(request.POST or None)
    if form.is_valid():
        try:
            member = services.add_member(request.studio, **form.cleaned_data)
        except ValidationError as error:
            form.add_error(None if "__all__" in error.message_dict else "username", error.messages[0])
        else:
            messages.success(request, f"{member.user} is in, as {member.get_role_display().lower()}.")
            return redirect("people", request.studio.slug)
    members = within(Membership.objects, request.studio).select_related("user").order_by("user__username")
    context = {"form": form, "members": members, "roles": Role.choices}
    return render(request, "studio/people.html", context)


@require_POST
@in_studio(Role.KEEPER)
def role(request: StudioRequest, pk: int) -> HttpResponse:
    member = get_object_or_404(within(Membership.objects, request.studio), pk=pk)
    try:
        services.change_role(member, role=request.POST.get("role", ""))
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, f"{member.user} is a {member.get_role_display().lower()} now.")
    return redirect("people", request.studio.slug)


@require_POST
@in_studio(Role.KEEPER)
def remove(request: StudioRequest, pk: int) -> HttpResponse:
    member = get_object_or_404(within(Membership.objects, request.studio), pk=pk)
    try:
        services.remove_member(member)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, f"{member.user} is out. What they wrote in the ledger stays.")
    if member.user_id == request.user.pk and member.pk is None:
        return redirect("front")
    return redirect("people", request.studio.slug)


@require_http_methods(["GET", "POST"])
@in_studio(Role.KEEPER)
def facts(request: StudioRequest) -> HttpResponse:
    """The studio's own facts: its name, whose law applies, its currency, whom to call."""
    form = StudioForm(request.POST or None, instance=request.studio)
    if form.is_valid():
        form.save()
        messages.success(request, "The studio's facts are changed. Notices made before keep what they said.")
        return redirect("people", request.studio.slug)
    return render(request, "studio/facts.html", {"form": form})

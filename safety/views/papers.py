"""Everything that can be printed: paper sizes, a PDF as an answer, and the page that lists the papers."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, NamedTuple

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import content_disposition_header, urlencode
from django.utils.text import slugify
from django.views.decorators.http import require_http_methods, require_safe

from inventory.models import Group, Item, Palette, Room
from safety.forms import HangForm, JarForm
from safety.models import Notice, PaperKind, RulesVersion, WasteContainer
from safety.printing import cards
from safety.printing import notice as printed_notice
from safety.printing import papers as printed
from safety.queries import papers as rows
from safety.queries.facts import items
from safety.queries.house import groups as group_rows
from safety.queries.notices import content_of, standings
from safety.queries.postings import subject_of
from safety.rules.papers.cards import JAR_FIELDS, wanted_fields
from safety.rules.snapshot import paper_from_plain
from safety.services.notices import write_paper
from safety.services.postings import hang_now
from studio.access import StudioRequest, in_studio, within
from studio.models import Role, Studio
from studio.printing.paper import PAPERS, papers_for, usual_paper


def paper_asked(request: StudioRequest) -> str:
    asked_for = request.GET.get("paper") or usual_paper(request.studio.jurisdiction)
    if asked_for not in PAPERS:
        raise Http404(f"Papers are set for {' and '.join(PAPERS)}, not for {asked_for[:20]!r}.")
    return asked_for


def file_name(notice: Notice) -> str:
    """Latin letters and digits only, so that every system can keep the file."""
    return f"{slugify(str(notice.subject))[:60] or notice.kind}-{notice.fingerprint}"


def as_pdf(data: bytes, name: str) -> HttpResponse:
    """Shown in the browser, and kept by nobody in between."""
    response = HttpResponse(data, content_type="application/pdf")
    response["Content-Disposition"] = content_disposition_header(False, f"{name}.pdf") or "inline"
    response["Cache-Control"] = "no-store"
    # A PDF holds nothing that the policy could stop, and "object-src 'none'" stops some browsers from showing it.
    response._csp_exempt = True  # type: ignore[attr-defined]  # as django-csp's own decorator does
    return response


def print_kept(notice: Notice, page_size: str) -> bytes:
    """A paper as it was made, from what it kept."""
    if notice.kind == PaperKind.NOTICE:
        return printed_notice.render(content_of(notice), page_size=page_size)
    return printed.render(paper_from_plain(notice.content, notice.facts), page_size=page_size)


def absolute(request: StudioRequest, path: str) -> str:
    return request.build_absolute_uri(path)


def subject_url(request: StudioRequest, kind: str, pk: int) -> str:
    """Where a paper's code leads: the page of what it is about, by its whole address."""
    if kind == PaperKind.NOTICE:
        return absolute(request, reverse("safety:item", args=[request.studio.slug, pk]))
    return absolute(request, rows.subject_url(request.studio, kind, pk))


# What holds now, printed without being kept


@require_safe
@in_studio()
def notice_now_pdf(request: StudioRequest, pk: int) -> HttpResponse:
    """What a notice for one paint or material says now."""
    paper, found = paper_asked(request), get_object_or_404(items(request.studio), pk=pk)
    (standing,) = standings(request.studio, [found])
    made = replace(standing.says, page_url=subject_url(request, PaperKind.NOTICE, pk))
    return as_pdf(printed_notice.render(made, page_size=paper), f"{slugify(found.name)[:60] or 'notice'}-now")


@require_safe
@in_studio()
def room_pdf(request: StudioRequest, pk: int, kind: str) -> HttpResponse:
    paper, room = paper_asked(request), get_object_or_404(within(Room.objects, request.studio), pk=pk)
    return _now(request, rows.Subject(kind, room.pk), paper, f"{slugify(room.name)[:60] or 'room'}-{kind}")


@require_safe
@in_studio()
def palette_pdf(request: StudioRequest, pk: int) -> HttpResponse:
    """The class page of a palette, for one group or for everybody, in one room or in any."""
    paper, palette = paper_asked(request), get_object_or_404(within(Palette.objects, request.studio), pk=pk)
    name = f"{slugify(palette.name)[:60] or 'palette'}-class"
    return _now(request, _class_asked(request, palette), paper, name)


@require_safe
@in_studio()
def group_pdf(request: StudioRequest, pk: int) -> HttpResponse:
    """What a group may use, what not, and why."""
    paper, group = paper_asked(request), get_object_or_404(group_rows(request.studio), pk=pk)
    return _now(
        request, rows.Subject(PaperKind.GROUP, group.pk), paper, f"may-use-{slugify(group.name)[:60] or group.pk}"
    )


def _now(request: StudioRequest, subject: rows.Subject, paper: str, name: str) -> HttpResponse:
    found = rows.papers_now(request.studio, [subject], subject_url(request, subject.kind, subject.pk))
    return as_pdf(printed.render(found[subject], page_size=paper), name)


def _class_asked(request: StudioRequest, palette: Palette) -> rows.Subject:
    """The group in the address, or "0": everybody, or the palette's own; and the room, or none: every room."""
    groups, rooms = within(Group.objects, request.studio), within(Room.objects, request.studio)
    group = _asked(request, "group", groups) if "group" in request.GET else palette.group_id
    return rows.Subject(PaperKind.CLASS, palette.pk, group, _asked(request, "room", rooms))


def _asked(request: StudioRequest, name: str, among: "QuerySet[Any]") -> int | None:
    """The key in the address of one of these rows; None where it is absent or "0"."""
    asked = request.GET.get(name) or "0"
    if not asked.isdecimal() or len(asked) > 18:
        raise Http404(f"{name} must be the number of a {name}.")
    return get_object_or_404(among, pk=int(asked)).pk if int(asked) else None


@require_safe
@in_studio()
def index_pdf(request: StudioRequest) -> HttpResponse:
    """The front page of the binder of data sheets."""
    paper = paper_asked(request)
    made = rows.sheet_index(request.studio, absolute(request, reverse("safety:sheets", args=[request.studio.slug])))
    return as_pdf(printed.render(made, page_size=paper), f"data-sheets-{request.studio.slug}")


@require_safe
@in_studio()
def sign_off_pdf(request: StudioRequest, pk: int) -> HttpResponse:
    """For students without the names of who signed."""
    paper = paper_asked(request)
    versions = within(RulesVersion.objects, request.studio).select_related("studio")
    version = get_object_or_404(versions, pk=pk)
    page = absolute(request, reverse("safety:papers", args=[request.studio.slug]))
    made = rows.sign_off_list(version, page, with_names=request.membership.may(Role.MEMBER))
    return as_pdf(printed.render(made, page_size=paper), f"sign-off-{version.number}")


@require_safe
@in_studio()
def waste_tag_pdf(request: StudioRequest, pk: int) -> HttpResponse:
    """The tag of a waste container, with the fields that this house demands and without those that it forbids."""
    paper = paper_asked(request)
    containers = within(WasteContainer.objects, request.studio).select_related("studio", "room", "opened_by")
    container = get_object_or_404(containers, pk=pk)
    made = rows.waste_tag(container, absolute(request, reverse("safety:papers", args=[request.studio.slug])))
    return as_pdf(cards.render(made, cards.TAG, page_size=paper), f"waste-{container.number}")


@require_safe
@in_studio()
def jar_label(request: StudioRequest) -> HttpResponse:
    """Ask what was poured into a jar; the label itself is the PDF of the same address."""
    form = JarForm(request.GET or None, studio=request.studio, initial={"filled_on": timezone.localdate()})
    if form.is_bound and form.is_valid():
        if form.cleaned_data["item"] or form.cleaned_data["name"]:
            return _jar_pdf(request, **form.cleaned_data)
        form.add_error("name", "Choose what was poured, or write a name: “unknown, ask Ines” is a name.")
    wanted = rows.field_rules(request.studio, rows.JAR_LABEL)
    context = {
        "form": form,
        "rules": wanted,
        "fields": wanted_fields(JAR_FIELDS, wanted),
        "papers": papers_for(request.studio.jurisdiction),
    }
    return render(request, "safety/papers_jar.html", context, status=422 if form.errors else 200)


def _jar_pdf(request: StudioRequest, item: Item | None, name: str, whose: str, filled_on: Any) -> HttpResponse:
    paper = paper_asked(request)
    page = (
        reverse("safety:item", args=[request.studio.slug, item.pk])
        if item
        else reverse("safety:papers", args=[request.studio.slug])
    )
    known = {"whose": whose, "filled on": filled_on.isoformat() if filled_on else ""}
    title = name or (item.name if item else "")
    made = rows.jar_label(request.studio, item, title, known=known, page_url=absolute(request, page))
    return as_pdf(cards.render(made, cards.LABEL, page_size=paper), f"label-{slugify(title)[:60] or 'jar'}")


# The list of everything


class Printable(NamedTuple):
    title: str
    about: str
    url: str
    hang: str = ""
    rooms: Sequence[Room] = ()


class Shelf(NamedTuple):
    heading: str
    rows: list[Printable]
    empty: str


@require_safe
@in_studio()
def papers(request: StudioRequest) -> HttpResponse:
    """Everything that can be printed, one line each."""
    studio = request.studio
    may_change = request.membership.may(Role.TEACHER)
    context = {
        "shelves": [_for_rooms(studio), _for_classes(studio), _lists(studio), _waste(studio)],
        "sizes": papers_for(studio.jurisdiction),
        "may_change": may_change,
        "tag": rows.field_rules(studio, rows.WASTE_TAG),
        "label": rows.field_rules(studio, rows.JAR_LABEL),
        "homeless": rows.without_a_room(studio),
    }
    return render(request, "safety/papers.html", context)


def _for_rooms(studio: Studio) -> Shelf:
    found = []
    for room in Room.objects.filter(studio=studio, removed_at=None):
        args = [studio.slug, room.pk]
        found.append(
            Printable(
                f"Poster of {room}",
                "Where rags and waste go, eyewash, extinguisher, whom to call.",
                reverse("safety:poster_pdf", args=args),
                hang=reverse("safety:poster_hang", args=args),
            )
        )
        found.append(
            Printable(
                f"Door sheet of {room}",
                "What is inside that burns or harms, how much at most, who keeps it.",
                reverse("safety:door_pdf", args=args),
                hang=reverse("safety:door_hang", args=args),
            )
        )
    return Shelf("For a room", found, "No room has a name yet: a poster and a door sheet belong to a room.")


def _for_classes(studio: Studio) -> Shelf:
    about = "Who may not use what, what to wear, where rags go, and every caution of what is set out."
    found = []
    rooms = list(Room.objects.filter(studio=studio, removed_at=None))
    for palette in Palette.objects.filter(studio=studio, removed_at=None).select_related("group"):
        args = [studio.slug, palette.pk]
        whom = f" for {palette.group}" if palette.group else ""
        found.append(
            Printable(
                f"Class page of {palette}{whom}",
                about,
                reverse("safety:palette_pdf", args=args),
                hang=reverse("safety:palette_hang", args=args),
                rooms=rooms if len(rooms) > 1 else (),
            )
        )
    for group in group_rows(studio):
        found.append(
            Printable(
                f"What {group} may use",
                "Everything in stock, and for what they may not use the rule and who decided it.",
                reverse("safety:group_pdf", args=[studio.slug, group.pk]),
                hang=reverse("safety:group_hang", args=[studio.slug, group.pk]),
            )
        )
    return Shelf(
        "For a class",
        found,
        "No palette is kept and no group has a name: a class page is printed for a palette or a lesson, and what a "
        "group may use for the group.",
    )


def _lists(studio: Studio) -> Shelf:
    found = [
        Printable(
            "Every notice, bound",
            "One file with contents; of all in stock that has one.",
            reverse("safety:book_pdf", args=[studio.slug]),
        ),
        Printable(
            "Index of the data-sheet binder",
            "What stands on the shelf with its maker's sheet, or without one.",
            reverse("safety:index_pdf", args=[studio.slug]),
        ),
    ]
    for version in RulesVersion.objects.filter(studio=studio)[:3]:
        about = "The rules, who has signed them, and rows for who has not."
        found.append(
            Printable(
                f"Sign-off list: {version}", about, reverse("safety:sign_off_pdf", args=[studio.slug, version.pk])
            )
        )
    return Shelf("Lists and books", found, "")


def _waste(studio: Studio) -> Shelf:
    found = [
        Printable(
            f"Tag of waste container {one.number}",
            one.contents,
            reverse("safety:waste_tag_pdf", args=[studio.slug, one.pk]),
        )
        for one in WasteContainer.objects.filter(studio=studio, collected_on=None)[:50]
    ]
    return Shelf("For waste", found, "No waste container is being filled.")


# Hanging what is printed for a room or a class

PRINTED_AT = {
    PaperKind.NOTICE: "notice_now_pdf",
    PaperKind.POSTER: "poster_pdf",
    PaperKind.DOOR: "door_pdf",
    PaperKind.CLASS: "palette_pdf",
    PaperKind.GROUP: "group_pdf",
}


@require_http_methods(["GET", "POST"])
@in_studio(Role.TEACHER)
def room_hang(request: StudioRequest, pk: int, kind: str) -> HttpResponse:
    room = get_object_or_404(within(Room.objects, request.studio).filter(removed_at=None), pk=pk)
    where = "door" if kind == PaperKind.DOOR else ""
    return _hang(request, rows.Subject(kind, room.pk), str(room), {"room": room, "where": where})


@require_http_methods(["GET", "POST"])
@in_studio(Role.TEACHER)
def palette_hang(request: StudioRequest, pk: int) -> HttpResponse:
    palette = get_object_or_404(within(Palette.objects, request.studio).filter(removed_at=None), pk=pk)
    return _hang(request, _class_asked(request, palette), str(palette), {})


@require_http_methods(["GET", "POST"])
@in_studio(Role.TEACHER)
def group_hang(request: StudioRequest, pk: int) -> HttpResponse:
    group = get_object_or_404(group_rows(request.studio), pk=pk)
    return _hang(request, rows.Subject(PaperKind.GROUP, group.pk), str(group), {})


def _hang(request: StudioRequest, subject: rows.Subject, name: str, initial: dict[str, Any]) -> HttpResponse:
    """Keep the paper as it is now and say where it hangs."""
    paper = write_paper(
        subject, request.studio, by=request.user, page_url=subject_url(request, subject.kind, subject.pk)
    )
    initial = {**initial, "fingerprint": paper.fingerprint}
    form = HangForm(request.POST if request.method == "POST" else None, studio=request.studio, initial=initial)
    if form.is_valid():
        try:
            hung = hang_now(paper, by=request.user, **form.cleaned_data)
        except ValidationError as error:
            form.add_error(None, ValidationError(error.messages))
        else:
            messages.success(request, f"Noted: the {paper.get_kind_display().lower()} of {name} hangs: {hung.place}.")
            return redirect("safety:postings", request.studio.slug)
    what = paper.get_kind_display().lower()
    context = {
        "form": form,
        "title": f"Hang the {what} of {name}",
        "why": "Print it and hang it, then say where. Compare the mark at its foot:",
        "mark": paper.fingerprint,
        "prints": [
            (size, f"{_print_url(request.studio, subject)}{urlencode({'paper': size})}")
            for size in papers_for(request.studio.jurisdiction)
        ],
    }
    return render(request, "safety/posting_form.html", context, status=422 if form.errors else 200)


def _print_url(studio: Studio, subject: rows.Subject) -> str:
    """The address of what a paper says now, ready for the paper's size."""
    kind, pk, group, room = subject
    url = reverse(f"safety:{PRINTED_AT[PaperKind(kind)]}", args=[studio.slug, pk])
    return f"{url}?group={group or 0}&room={room or 0}&" if kind == PaperKind.CLASS else f"{url}?"


def print_url(studio: Studio, notice: Notice) -> str:
    """Where the paper that should hang instead of this one is printed, on the studio's own paper."""
    size = urlencode({"paper": usual_paper(studio.jurisdiction)})
    return f"{_print_url(studio, subject_of(notice))}{size}"

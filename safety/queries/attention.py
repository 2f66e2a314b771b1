"""What the safety record asks about on the first page."""

from collections.abc import Iterable, Iterator

from django.db.models import Exists, OuterRef
from django.urls import reverse

from inventory.models import Item, Tube
from safety.models import DataSheet, PaperKind
from safety.queries.notices import State, standings
from safety.queries.postings import out_of_date
from studio.attention import Attention, Urgency, and_more
from studio.models import Studio

NAMED = 3


def notices_missing(studio: Studio) -> Iterator[Attention]:
    """Notices that no longer say what is known, and what has none; the queries of `standings`."""
    found = standings(studio)
    url = reverse("safety:notices", args=[studio.slug])
    outdated = [one for one in found if one.state is State.OUT_OF_DATE]
    if outdated:
        names, hanging = _names(one.item for one in outdated), any(one.hanging for one in outdated)
        many = len(outdated) > 1
        yield Attention(
            Urgency.HARM,
            f"The notice{'s' if many else ''} for {names} no longer say{'' if many else 's'} what is known"
            f"{', and what hangs on the wall is old' if hanging else ''}.",
            "See what changed",
            url,
        )
    missing = [one for one in found if one.state is State.MISSING]
    if missing:
        yield Attention(
            Urgency.UNKNOWN,
            f"There is no notice for {_names(one.item for one in missing)}.",
            "Make the notice" if len(missing) == 1 else "Make the notices",
            url,
            deed=reverse("safety:make_all", args=[studio.slug]),
        )


def papers_outdated(studio: Studio) -> Iterator[Attention]:
    """Posters, door sheets and class pages on the wall that no longer say what is known; one query while none hangs."""
    found = list(out_of_date(studio, kinds=[kind for kind in PaperKind.values if kind != PaperKind.NOTICE]))
    if not found:
        return
    named = [f"the {one.posting.notice.get_kind_display().lower()} of {one.posting.notice.subject}" for one in found]
    words = and_more(named[:NAMED], len(named))
    many = len(found) > 1
    yield Attention(
        Urgency.HARM,
        f"{words[:1].upper()}{words[1:]} no longer say{'' if many else 's'} what is known.",
        "See what changed",
        reverse("safety:postings", args=[studio.slug]),
    )


def sheets_missing(studio: Studio) -> Iterator[Attention]:
    """What stands on the shelf without a maker's sheet on file; two queries at most."""
    held = Exists(Tube.objects.in_use().filter(item=OuterRef("pk")))
    on_file = Exists(DataSheet.objects.standing().filter(item=OuterRef("pk")))
    lacking = Item.objects.of(studio).kept().filter(held, ~on_file).order_by("sort_name", "pk")
    first = list(lacking[: NAMED + 1])
    if not first:
        return
    if len(first) == 1:
        sentence = (
            f"No maker's safety data sheet is on file for {first[0]}: what its maker says of hazards is not known."
        )
        url = reverse("safety:item", args=[studio.slug, first[0].pk])
        deed = reverse("safety:sheet_add", args=[studio.slug, first[0].pk])
        yield Attention(Urgency.UNKNOWN, sentence, "Record what it says", url, deed)
        return
    total = len(first) if len(first) <= NAMED else lacking.count()
    names = and_more([one.name for one in first[:NAMED]], total)
    sentence = f"No maker's safety data sheet is on file for {names}: what their makers say of hazards is not known."
    yield Attention(Urgency.UNKNOWN, sentence, "See which", reverse("safety:sheets", args=[studio.slug]))


def _names(items: Iterable[Item]) -> str:
    names = [item.name for item in items]
    return and_more(names[:NAMED], len(names))

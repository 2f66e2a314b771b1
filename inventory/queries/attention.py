"""What the shelf asks about on the first page."""

from collections.abc import Iterator

from django.db.models import Exists, OuterRef, QuerySet
from django.urls import reverse

from inventory.models import ImportBatch, Paint, PigmentsKnown, Reading, Tube
from studio.attention import Attention, Urgency, and_more
from studio.models import Studio

NAMED = 3


def open_questions(studio: Studio) -> Iterator[Attention]:
    """Labels of paints in stock that can be read in more than one way; two queries at most."""
    asked = _in_stock(studio).filter(Exists(Reading.objects.filter(paint=OuterRef("pk"), settled=False)))
    names, total = _some(asked)
    if total:
        yield Attention(
            Urgency.UNKNOWN,
            f"{total} label{'' if total == 1 else 's'} can be read in more than one way: {and_more(names, total)}. "
            "Until somebody answers, that part counts as not known.",
            "Answer the question" if total == 1 else "Answer the questions",
            reverse("inventory:questions", args=[studio.slug]),
            deed=reverse("inventory:paint_answer", args=[studio.slug, 0]),
        )


def unknown_pigments(studio: Studio) -> Iterator[Attention]:
    """Paints in stock whose pigments nobody has entered; two queries at most."""
    names, total = _some(_in_stock(studio).filter(pigments_known=PigmentsKnown.UNKNOWN))
    if total:
        yield Attention(
            Urgency.UNKNOWN,
            f"The pigments of {and_more(names, total)} are not known, so nothing can be said about "
            f"{'its' if total == 1 else 'their'} mixtures, lightfastness or hazards.",
            "Enter its pigments" if total == 1 else "Enter their pigments",
            f"{reverse('inventory:questions', args=[studio.slug])}#unknown-head",
            deed=reverse("inventory:paint_change", args=[studio.slug, 0]),
        )


def _in_stock(studio: Studio) -> "QuerySet[Paint]":
    """Those of which something usable is left: nothing is mixed or painted with the others."""
    held = Tube.objects.usable().filter(item=OuterRef("pk"))
    return Paint.objects.of(studio).kept().filter(Exists(held))


def _some(paints: "QuerySet[Paint]") -> tuple[list[str], int]:
    """The first few names and how many there are; the second query is asked only when there are more."""
    names = list(paints.order_by("sort_name", "pk").values_list("name", flat=True)[: NAMED + 1])
    if len(names) <= NAMED:
        return names, len(names)
    return names[:NAMED], paints.count()


def paints_undrawn(studio: Studio) -> Iterator[Attention]:
    """Lists that were taken in and whose paints are not all drawn yet; one query."""
    for batch in ImportBatch.objects.filter(studio=studio).exclude(drawn_up_to=None).order_by("pk")[:NAMED]:
        yield Attention(
            Urgency.ADVICE,
            f"Not every paint of the list {batch} is drawn yet, so the shelf shows some without their colour.",
            "Draw them",
            reverse("inventory:import", args=[studio.slug, batch.pk]),
        )

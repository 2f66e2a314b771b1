"""What is watched for fading: window tests with their readings, and works with what they were made of."""

from collections.abc import Iterable, Sequence
from datetime import date, datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.colour.fading import CourseError, Exposed, check_course
from inventory.labels import Severity
from inventory.measuring.colours import read_colour
from inventory.models import Exposure, Item, LightReading, LightTest, Paint, Work
from inventory.services.ledger import refuse
from studio.models import Studio, User

_CONDITIONS = ("illuminant", "observer")
MOST_READINGS = 500
MOST_ITEMS = 100


def _colour(text: str, illuminant: str, observer: str) -> tuple[list[float], dict[str, Any]]:
    """L*, a*, b* for D65 and 10 degrees, and what was typed and how it was read."""
    if not text.strip():
        raise refuse("text", "Enter the colour, such as 32.1, 14.2, -41.7 or 5PB 3/10.")
    read = read_colour(text, illuminant=illuminant or None, observer=observer or None)
    problems: dict[str, list[ValidationError]] = {}
    for doubt in read.doubts:
        if doubt.severity in (Severity.REFUSED, Severity.ASK):
            field = doubt.code if doubt.code in _CONDITIONS else "text"
            problems.setdefault(field, []).append(ValidationError(doubt.message, code=doubt.severity.value))
    if problems:
        raise ValidationError(problems)
    assert read.lab is not None  # noqa: S101  # settled, so it has a colour
    return [float(value) for value in read.lab], {
        "text": text.strip(),
        "notation": read.notation.value,
        "illuminant": read.illuminant.value,
        "observer": read.observer.value,
        "converted": read.converted,
        "rough": read.rough,
        "sd": float(read.sd),
        "remarks": [doubt.message for doubt in read.doubts],
    }


# Window tests


@transaction.atomic
def start_test(
    studio: Studio,
    *,
    paint: Paint,
    by: User,
    started_on: date,
    text: str,
    illuminant: str = "",
    observer: str = "",
    swatch: str = "",
    note: str = "",
) -> LightTest:
    """Put a swatch into the window: its colour on the first day. ValidationError names field, value and remedy."""
    if paint.studio_id != studio.pk:
        raise refuse("paint", f"{paint} is not one of this studio's paints: choose one of them.")
    if started_on > timezone.localdate():
        raise refuse("started_on", f"{started_on:%-d %B %Y} is still to come: enter the day on which it began.")
    before, given = _colour(text, illuminant, observer)
    test = LightTest(
        paint=paint, swatch=swatch.strip(), started_on=started_on, before=before, given=given, by=by, note=note.strip()
    )
    test.full_clean(exclude=["paint", "by"])
    test.save()
    return test


def _hold(test: LightTest) -> LightTest:
    """The test as it is now, held until the transaction ends, so that its readings stay in order."""
    held = LightTest.objects.select_for_update(no_key=True).get(pk=test.pk)
    if held.withdrawn_at is not None:
        raise refuse("test", "This test was withdrawn: let it stand again first.")
    return held


def _course(test: LightTest) -> list[LightReading]:
    return list(test.readings.filter(withdrawn_at=None).order_by("on", "pk"))


def _check(test: LightTest, readings: Sequence[LightReading]) -> None:
    looks = [Exposed(one.on, one.exposure, one.amount) for one in readings]
    try:
        check_course(test.started_on, looks, timezone.localdate())
    except CourseError as error:
        raise refuse(error.field, str(error)) from error


@transaction.atomic
def add_reading(
    test: LightTest,
    *,
    by: User,
    on: date,
    text: str,
    exposure: str,
    amount: int,
    illuminant: str = "",
    observer: str = "",
) -> LightReading:
    """Look at a window test once more; days and exposures follow one another."""
    seen = _seen(text, illuminant, observer, exposure)
    held = _hold(test)
    if held.ended_on is not None and on > held.ended_on:
        raise refuse("on", f"The test ended on {held.ended_on:%-d %B %Y}; {on:%-d %B %Y} is after that.")
    before = _course(held)
    if len(before) >= MOST_READINGS:
        raise refuse("on", f"This test has {MOST_READINGS} readings, which are the most that one keeps. Begin another.")
    if any(one.on == on and one.exposure == exposure and one.after == seen["after"] for one in before):
        raise refuse("on", f"This very reading of {on:%-d %B %Y} is there already.")
    reading = LightReading(test=held, on=on, amount=amount, by=by, **seen)
    _check(held, [*before, reading])
    reading.full_clean(exclude=["test", "by"])
    reading.save()
    return reading


def keep_out_of_course(
    test: LightTest,
    *,
    by: User,
    withdrawn_at: datetime | None,
    on: date,
    amount: int,
    **look: str,
) -> LightReading:
    """Keep a reading that a table brings back withdrawn, or of a withdrawn test: it need not follow on the others.

    The caller's transaction holds it.
    """
    seen = _seen(**look)
    reading = LightReading(test=test, on=on, amount=amount, by=by, withdrawn_at=withdrawn_at, **seen)
    reading.full_clean(exclude=["test", "by"])
    reading.save()
    return reading


def _seen(text: str, illuminant: str = "", observer: str = "", exposure: str = "") -> dict[str, Any]:
    """What a reading says of the colour and of the light it had, as fields of a row; ValidationError by field."""
    after, given = _colour(text, illuminant, observer)
    if exposure not in Exposure.values:
        raise refuse("exposure", f"“{exposure[:40]}” is no way to tell the exposure: choose hours or a blue wool.")
    return {"after": after, "given": given, "exposure": exposure}


@transaction.atomic
def withdraw_reading(test: LightTest, pk: int) -> LightReading:
    """Take a reading out of the course; its row stays."""
    held = _hold(test)
    reading = held.readings.filter(pk=pk).first()
    if reading is None:
        raise refuse("reading", "This reading belongs to another test: look at the page again.")
    if reading.withdrawn_at is None:
        reading.withdrawn_at = timezone.now()
        reading.save(update_fields=["withdrawn_at"])
    return reading


@transaction.atomic
def bring_back_reading(test: LightTest, pk: int) -> LightReading:
    """Let a withdrawn reading stand again, unless it contradicts what stands by now."""
    held = _hold(test)
    reading = held.readings.filter(pk=pk).first()
    if reading is None:
        raise refuse("reading", "This reading belongs to another test: look at the page again.")
    standing = {one.pk: one for one in _course(held)} | {reading.pk: reading}
    _check(held, sorted(standing.values(), key=lambda one: (one.on, one.pk)))
    reading.withdrawn_at = None
    reading.save(update_fields=["withdrawn_at"])
    return reading


@transaction.atomic
def end_test(test: LightTest, *, on: date) -> LightTest:
    """Take the swatch out of the window."""
    held = _hold(test)
    if not held.started_on <= on <= timezone.localdate():
        raise refuse("on", f"{on:%-d %B %Y} is not between the first day, {held.started_on:%-d %B %Y}, and today.")
    last = max((one.on for one in _course(held)), default=held.started_on)
    if on < last:
        raise refuse("on", f"It was read on {last:%-d %B %Y}, so it did not end on {on:%-d %B %Y}: check the day.")
    held.ended_on = on
    held.save(update_fields=["ended_on"])
    return held


@transaction.atomic
def go_on(test: LightTest) -> LightTest:
    """Put the swatch back into the window."""
    held = _hold(test)
    held.ended_on = None
    held.save(update_fields=["ended_on"])
    return held


def withdraw_test(test: LightTest) -> None:
    """Take a test out of what is known of the paint; it stays on its page."""
    LightTest.objects.filter(pk=test.pk, withdrawn_at=None).update(withdrawn_at=timezone.now())


def bring_back_test(test: LightTest) -> None:
    LightTest.objects.filter(pk=test.pk).update(withdrawn_at=None)


# Works


def _check_work(studio: Studio, made_on: date | None, items: Sequence[Item]) -> None:
    if made_on is not None and made_on > timezone.localdate():
        raise refuse(
            "made_on", f"{made_on:%-d %B %Y} is still to come: enter the day on which it was made, or leave it."
        )
    if not items:
        raise refuse("items", "Choose the paints that it was made with: nothing can be watched without them.")
    if len(items) > MOST_ITEMS:
        raise refuse("items", f"{len(items)} paints are more than the {MOST_ITEMS} that one work keeps.")
    for item in items:
        if item.studio_id != studio.pk:
            raise refuse("items", f"{item} is not one of this studio's paints: choose among them.")


@transaction.atomic
def add_work(
    studio: Studio,
    *,
    by: User,
    title: str,
    items: Iterable[Item],
    made_on: date | None = None,
    where: str = "",
    note: str = "",
) -> Work:
    """List a painting with the paints that it was made with."""
    work = Work(studio=studio, by=by)
    return _save_work(work, list(items), title=title, made_on=made_on, where=where, note=note)


@transaction.atomic
def change_work(work: Work, *, items: Iterable[Item], **facts: Any) -> Work:
    held = Work.objects.select_for_update(of=("self",), no_key=True).select_related("studio").get(pk=work.pk)
    return _save_work(held, list(items), **facts)


def _save_work(work: Work, items: list[Item], **facts: Any) -> Work:
    _check_work(work.studio, facts["made_on"], items)
    for name, value in facts.items():
        setattr(work, name, value.strip() if isinstance(value, str) else value)
    if not work.title:
        raise refuse("title", "Say what the work is called, or how it is known.")
    work.full_clean(exclude=["studio", "by"])
    work.save()
    work.items.set(items)
    return work


def remove_work(work: Work) -> bool:
    """Take a work off the list; it can be brought back. False if it was off it already."""
    return bool(Work.objects.filter(pk=work.pk, removed_at=None).update(removed_at=timezone.now()))


def bring_back_work(work: Work) -> bool:
    return bool(Work.objects.filter(pk=work.pk).exclude(removed_at=None).update(removed_at=None))

"""What was measured, as tables: every colour as it was given beside what was read of it, and the window tests."""

from collections.abc import Iterator

from django.utils import timezone

from inventory.exchange.colour_tables import MEASUREMENT_COLUMNS, NM, WINDOW_COLUMNS
from inventory.models import LightReading, LightTest, Measurement
from inventory.queries.window_tests import test_now, tests
from studio.models import Studio


def measurement_rows(studio: Studio) -> Iterator[list[str]]:
    """Every measured colour, withdrawn ones too, headings first; one query."""
    yield list(MEASUREMENT_COLUMNS)
    found = Measurement.objects.filter(paint__studio=studio).select_related("paint", "white", "by")
    for one in found.order_by("paint__sort_name", "paint", "pk"):
        spectrum = [f"{value:.5f}" for value in one.spectrum] if one.spectrum else [""] * len(NM)
        yield [
            *_paint_cells(one),
            one.get_kind_display(),
            one.get_way_display(),
            one.text,
            one.notation,
            one.illuminant,
            one.observer,
            *(f"{value:.4f}" for value in (one.lightness, one.a, one.b)),
            one.converted,
            "yes" if one.rough else "",
            f"{one.sd:.2f}",
            one.white.name if one.white else "",
            one.film_typed,
            one.film_white,
            one.get_specular_display() if one.spectrum else "",
            one.geometry if one.spectrum else "",
            one.backing if one.spectrum else "",
            one.note,
            str(one.by or ""),
            f"{timezone.localtime(one.at):%Y-%m-%d}",
            f"{timezone.localtime(one.withdrawn_at):%Y-%m-%d}" if one.withdrawn_at else "",
            ", ".join(one.confirmed),
            *spectrum,
        ]


def window_test_rows(studio: Studio) -> Iterator[list[str]]:
    """Every window test with its readings, a row for the first day and one for each reading; two queries."""
    yield list(WINDOW_COLUMNS)
    for test in tests(studio).order_by("paint__sort_name", "pk"):
        now = test_now(test)
        ended = test.ended_on.isoformat() if test.ended_on else ""
        yield [*_window_cells(test, test), "", "", "", "", "", test.note, str(test.by), _day(test), ended]
        for look in now.looks:
            one, moved = look.reading, look.moved
            measured = [f"{moved.difference:.2f}", f"{moved.width:.2f}" if moved.width else "", moved.class_words]
            yield [*_window_cells(test, one), one.exposure, str(one.amount), *measured, "", str(one.by), "", ""]
        for one in now.withdrawn:
            yield [*_window_cells(test, one), one.exposure, str(one.amount), "", "", "", "", str(one.by), _day(one), ""]


def _paint_cells(one: Measurement | LightTest) -> list[str]:
    paint = one.paint
    return [paint.name, "" if paint.binder == "unknown" else paint.binder, paint.maker, paint.maker_code]


def _window_cells(test: LightTest, one: LightTest | LightReading) -> list[str]:
    lab, on = (one.before, one.started_on) if isinstance(one, LightTest) else (one.after, one.on)
    given = one.given
    return [
        *_paint_cells(test),
        test.swatch,
        test.started_on.isoformat(),
        on.isoformat(),
        *(str(given.get(name, "")) for name in ("text", "notation", "illuminant", "observer")),
        *(f"{float(value):.4f}" for value in lab),
        "yes" if given.get("rough") else "",
    ]


def _day(one: LightTest | LightReading) -> str:
    return f"{timezone.localtime(one.withdrawn_at):%Y-%m-%d}" if one.withdrawn_at else ""

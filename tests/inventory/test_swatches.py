"""The colours kept beside a paint."""

import pytest
from django.core.management import call_command

from inventory.models import Binder, OpticalRow, Paint, PaintPigment, Pigment, PigmentsKnown
from inventory.services.swatches import refresh_swatches

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("pigments")]


def make_paint(studio, name, *codes, **values):
    known = PigmentsKnown.SETTLED if codes else PigmentsKnown.UNKNOWN
    paint = Paint.objects.create(studio=studio, name=name, binder=Binder.OIL, **{"pigments_known": known, **values})
    for position, code in enumerate(codes):
        PaintPigment.objects.create(
            paint=paint, position=position, code=code, pigment=Pigment.objects.get(ci_name=code)
        )
    return paint


def swatch_of(paint):
    paint.refresh_from_db()
    return paint.swatch


def channels(colour):
    return tuple(int(colour[i : i + 2], 16) for i in (1, 3, 5))


def test_a_known_pigment_gives_a_masstone_a_tint_and_where_they_come_from(studio):
    paint = make_paint(studio, "Ultramarine Blue", "PB29")
    assert refresh_swatches([paint]) == 1
    paint.refresh_from_db()
    red, green, blue = channels(paint.swatch["masstone"])
    assert blue > max(red, green)
    # A tint with nine parts of white is lighter in every channel: what white is for.
    assert all(light > dark for light, dark in zip(channels(paint.swatch["tint"]), (red, green, blue), strict=True))
    assert paint.swatch["origin"] == "typical"
    assert paint.swatch["note"].startswith("typical of PB29")


def test_ultramarine_is_transparent_and_cadmium_red_is_not(studio):
    """Common practice, no source."""
    blue, red = make_paint(studio, "Ultramarine Blue", "PB29"), make_paint(studio, "Cadmium Red Light", "PR108")
    refresh_swatches([blue, red])
    assert blue.swatch["transparent"] is True
    assert blue.swatch["over_black"] is not None
    assert red.swatch["transparent"] is False
    assert red.swatch["over_black"] is None


@pytest.mark.parametrize(
    ("name", "codes", "state"),
    [
        ("Old tube", (), PigmentsKnown.UNKNOWN),
        ("Iron Brown", ("PBr7",), PigmentsKnown.SETTLED),
        ("Ultramarine Blue", ("PB29",), PigmentsKnown.ASKED),
    ],
)
def test_a_paint_whose_colour_is_not_known_has_no_swatch(studio, name, codes, state):
    paint = make_paint(studio, name, *codes, pigments_known=state, swatch={"masstone": "#123456"})
    assert refresh_swatches([paint]) == 1
    paint.refresh_from_db()
    assert paint.swatch is None


def test_a_shade_that_a_person_chose_decides(studio):
    paint = make_paint(studio, "Iron Brown", "PBr7")
    paint.pigment_lines.update(shade=OpticalRow.objects.get(name="raw umber"))
    refresh_swatches([paint])
    assert "raw umber" in paint.swatch["note"]


def test_lines_that_changed_after_they_were_read_are_read_again(studio):
    paint = make_paint(studio, "Blue", "PB29")
    stale = Paint.objects.prefetch_related("pigment_lines__pigment").get(pk=paint.pk)
    stale.pigment_lines.all()
    PaintPigment.objects.filter(paint=paint).update(code="PB28", pigment=Pigment.objects.get(ci_name="PB28"))
    refresh_swatches([stale])
    assert stale.swatch is not None
    assert stale.swatch["note"].startswith("typical of PB28")


def test_many_paints_cost_no_more_queries_than_one(studio, django_assert_max_num_queries):
    paints = [make_paint(studio, f"Blue {number}", "PB29") for number in range(30)]
    with django_assert_max_num_queries(8):  # savepoint, rows, paints, lines, update, release
        assert refresh_swatches(paints) == 30
    assert refresh_swatches(paints) == 0


def test_loading_changed_optics_redraws_the_swatches(studio):
    paint = make_paint(studio, "Ultramarine Blue", "PB29")
    call_command("load_reference", verbosity=0)
    paint.refresh_from_db()
    assert paint.swatch is None, "nothing changed, so nothing is redrawn"
    OpticalRow.objects.filter(pigment__ci_name="PB29").update(K0=0.5)
    call_command("load_reference", verbosity=0)
    paint.refresh_from_db()
    assert swatch_of(paint)["masstone"]

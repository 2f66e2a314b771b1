"""A label that somebody typed becomes a paint: the text kept, the facts beside it, the questions open."""

import pytest
from django.core.exceptions import ValidationError

from inventory.models import Binder, Paint, PigmentsKnown
from inventory.reading import LabelTexts
from inventory.services import paints

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("pigments")]


@pytest.fixture
def add(studio, keeper):
    def add(name, pigments="", **texts):
        return paints.add_paint(
            studio, by=keeper, binder=Binder.OIL, texts=LabelTexts(name=name, pigments=pigments, **texts)
        )

    return add


def codes(paint):
    return [line.code for line in paint.pigment_lines.all()]


def test_what_was_typed_is_kept_beside_what_was_read(add):
    paint = add("Ultramarine Blue", " p.b.29 ", lightfastness="ASTM I", opacity="T")
    paint.refresh_from_db()
    assert paint.pigment_text == " p.b.29 "
    assert codes(paint) == ["PB29"]
    assert (paint.pigments_known, paint.opacity) == (PigmentsKnown.SETTLED, "transparent")
    assert (paint.lightfastness, paint.lightfastness_scale) == ("I", "astm")
    assert paint.swatch["origin"] == "typical"


@pytest.mark.parametrize("typed", ["", "N/A", "none", "PR N/A", "---"])
def test_an_unknown_pigment_stays_unknown(add, typed):
    paint = add("Cadmium-Free Red", typed)
    assert paint.pigments_known == PigmentsKnown.UNKNOWN
    assert codes(paint) == []
    assert paint.swatch is None


def test_a_code_that_exists_nowhere_is_no_fact_until_chosen(add, keeper):
    paint = add("Hansa Yellow Medium", "PW97")
    assert (paint.pigments_known, codes(paint), paint.swatch) == (PigmentsKnown.ASKED, [], None)
    doubt = paint.readings.get(field="pigments").doubts[0]
    assert "PY97" in [option["value"] for option in doubt["options"]]
    paint = paints.answer(paint, field="pigments", key=doubt["key"], value="PY97", by=keeper)
    assert (paint.pigments_known, codes(paint)) == (PigmentsKnown.SETTLED, ["PY97"])
    assert paint.pigment_text == "PW97"
    assert paint.swatch is not None
    paint.refresh_from_db()
    assert paint.search == "hansa yellow medium py97 pw97"  # found by what was chosen and by what was typed


def test_an_answer_that_was_not_offered_is_refused(add, keeper):
    paint = add("Hansa Yellow Medium", "PW97")
    doubt = paint.readings.get(field="pigments").doubts[0]
    with pytest.raises(ValidationError, match="is not one of the answers"):
        paints.answer(paint, field="pigments", key=doubt["key"], value="PR254", by=keeper)
    with pytest.raises(ValidationError, match="not open any more"):
        paints.answer(paint, field="pigments", key="gone", value="PY97", by=keeper)


def test_four_earths_of_one_code_are_four_colours(add):
    """Common practice, no source: raw and burnt sienna and umber are all sold as PBr7."""
    names = ["Raw Sienna", "Burnt Sienna", "Raw Umber", "Burnt Umber"]
    shades = [add(name, "PBr7").pigment_lines.get().shade.name for name in names]
    assert shades == [name.lower() for name in names]


def test_an_unnamed_earth_is_asked(add, keeper):
    paint = add("Earth no. 4", "PBr7")
    reading = paint.readings.get(field="shade")
    assert not reading.settled
    assert paint.swatch is None
    paint = paints.answer(paint, field="shade", key=reading.doubts[0]["key"], value="raw umber", by=keeper)
    assert paint.pigment_lines.get().shade.name == "raw umber"
    assert paint.swatch is not None


def test_a_bare_one_asks_its_scale(add, keeper):
    """1 is the best mark of ASTM D4302 and the worst of the blue wool scale (ISO 105-B08)."""
    paint = add("Hansa Yellow Light", "PY3", lightfastness="1")
    assert (paint.lightfastness, paint.lightfastness_scale) == ("", "unknown")
    doubt = paint.readings.get(field="lightfastness").doubts[0]
    paint = paints.answer(paint, field="lightfastness", key=doubt["key"], value="blue wool 1", by=keeper)
    assert (paint.lightfastness, paint.lightfastness_scale) == ("1", "blue-wool")
    assert paint.lightfastness_text == "1"


def test_a_scale_given_for_the_column_outlives_retyping(add, keeper):
    paint = add("Hansa Yellow Light", "PY3", lightfastness="1", lightfastness_scale="astm")
    assert paint.lightfastness == "I"
    paint = paints.change_paint(paint, by=keeper, texts=paints.texts_of(paint), series="2")
    assert (paint.lightfastness, paint.series) == ("I", "2")


def test_retyping_a_label_reads_it_again(add, keeper):
    paint = add("Sap Green", "PG7, PY150")
    paints.change_paint(paint, by=keeper, texts=LabelTexts(name="Sap Green", pigments="PG36"))
    paint = Paint.objects.get(pk=paint.pk)
    assert codes(paint) == ["PG36"]
    assert paint.readings.get(field="pigments").text == "PG36"


def test_a_paint_without_a_name_is_refused(add):
    with pytest.raises(ValidationError, match="name"):
        add("  ", "PB29")


def test_search_finds_a_code_typed_in_cyrillic_letters(add):
    paint = add("Ультрамарин", "РВ29")
    assert "pb29" in paint.search
    assert codes(paint) == ["PB29"]


def test_what_is_still_on_the_shelf_is_not_archived(tube, paint):
    with pytest.raises(ValidationError, match="still has 1 on the shelf"):
        paints.archive(paint)

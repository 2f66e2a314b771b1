"""Colours taken in, doubted, withdrawn, and the curves that follow from them.

Colours of acrylics are from fixtures/checks/acrylics.csv: computed from the curves of Okumura (2005), D65 and the
10 degree observer. The other figures are ours.
"""

import numpy as np
import pytest
from django.core.exceptions import ValidationError
from django.core.management import call_command
from django.db import IntegrityError, transaction
from django.urls import reverse

from inventory.colour.appearance import WAVELENGTHS_NM, difference
from inventory.colour.curves import Origin, from_bands
from inventory.colour.kubelka_munk import reflectance_infinite, saunderson
from inventory.colour.mixing import mixture_lab
from inventory.colour.recovery import generic_white
from inventory.models import CurveState, Measurement, OpticalRow, Paint, PaintCurve, Swatch
from inventory.queries.colours import known_colours, paint_colour
from inventory.queries.palette import band_row, curve_of, typical_rows, with_curves, working_palettes
from inventory.reading import LabelTexts
from inventory.services import colours, ledger
from inventory.services.colours import Beside, add_colour, add_spectrum, withdraw, work_out, work_through, working_out
from inventory.services.paints import add_paint, change_paint, texts_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("pigments")]

# Masstone, 1:1 and 1:9 tint of acrylics (see above).
TITANIUM = "97.05, -0.68, 1.44"
ULTRAMARINE = ("23.37, 10.03, -22.22", (59.99, 3.15, -44.49), "79.61, -3.30, -23.83")
MAGENTA = ("29.63, 25.10, 1.84", (56.36, 44.76, -15.91), "75.72, 28.49, -13.82")


def label(studio, by, name, pigments, binder="acrylic"):
    texts = LabelTexts(name=name, pigments=pigments, lightfastness="", opacity="", strength="")
    return add_paint(studio, by=by, texts=texts, binder=binder)


@pytest.fixture
def white(studio, keeper):
    return label(studio, keeper, "Titanium White", "PW6")


@pytest.fixture
def blue(studio, keeper):
    return label(studio, keeper, "Ultramarine Blue", "PB29")


def give(paint, by, kind, text, white=None, **more):
    beside = Beside(
        kind,
        white,
        **{name: more.pop(name) for name in ("film_white", "film_um", "confirmed", "exchange") if name in more},
    )
    conditions = {"illuminant": "D65", "observer": "10", **more}
    return add_colour(paint, by=by, beside=beside, text=text, **conditions)


def stored(paint):
    return PaintCurve.objects.get(paint=paint)


def curve(paint):
    found = curve_of(with_curves(Paint.objects.filter(pk=paint.pk)).get(), typical_rows()).curve
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("name", "code", "swatches"), [("Ultramarine", "PB29", ULTRAMARINE), ("Magenta", "PR122", MAGENTA)]
)
def test_a_masstone_and_a_tint_tell_the_tint_between(studio, keeper, white, name, code, swatches):
    """The 1:1 tint was not given; typical curves of the same codes are 10 and more away."""
    alone, half, tint = swatches
    paint = label(studio, keeper, name, code)
    give(white, keeper, "masstone", TITANIUM)
    give(paint, keeper, "masstone", alone)
    give(paint, keeper, "tint-1-9", tint, white)
    found = stored(paint)
    assert (found.state, found.basis, found.tints_allowed) == (CurveState.READY, "masstone and tints", True)
    pair = curve(paint), curve(white)
    predicted = mixture_lab(np.stack([one.k for one in pair]), np.stack([one.s for one in pair]), (1.0, 1.0))
    assert float(difference(predicted, half)) < 2.0
    assert found.worst_fit < 0.5
    k, s = found.drawn()
    assert k.shape == s.shape == (32, 31)


def test_the_wheel_and_the_swatch_follow_the_measured_colours(studio, keeper, white, blue):
    typical = blue.swatch
    assert typical["origin"] == "typical"
    ledger.receive(studio, blue, nominal_milli=37_000, unit="ml", by=keeper)
    before = working_palettes(studio)[0].palette
    give(blue, keeper, "masstone", ULTRAMARINE[0])
    blue.refresh_from_db()
    assert blue.swatch["origin"] == "recovered", "the tint is still estimated"
    give(blue, keeper, "tint-1-9", ULTRAMARINE[2], white)
    blue.refresh_from_db()
    assert blue.swatch["origin"] == "measured"
    assert blue.swatch["masstone"] != typical["masstone"]
    after = working_palettes(studio)[0].palette
    assert not np.array_equal(before.k, after.k)
    assert curve(blue).origin is Origin.RECOVERED


def test_the_same_inputs_are_not_worked_out_twice(keeper, blue, monkeypatch):
    give(blue, keeper, "masstone", ULTRAMARINE[0])
    first = stored(blue)
    worked = []
    monkeypatch.setattr(working_out, "_worked", lambda inputs: worked.append(inputs))
    work_out(blue)
    assert worked == []
    assert stored(blue).computed_at == first.computed_at


def test_what_is_measured_meanwhile_is_in_the_curve(keeper, blue, monkeypatch):
    """Another person gives a tint while the curve of the masstone is being worked out."""
    worked, really = [], working_out._worked

    def slowly(inputs):
        worked.append(inputs)
        if len(worked) == 1:
            give(blue, keeper, "tint-1-9", ULTRAMARINE[2])
        return really(inputs)

    monkeypatch.setattr(working_out, "_worked", slowly)
    give(blue, keeper, "masstone", ULTRAMARINE[0])
    assert (stored(blue).state, stored(blue).basis) == (CurveState.READY, "masstone and tints")


def test_the_curve_is_the_same_every_time(keeper, blue):
    give(blue, keeper, "masstone", ULTRAMARINE[0])
    first = stored(blue)
    PaintCurve.objects.all().delete()
    work_out(blue)
    again = stored(blue)
    assert (bytes(again.curve), bytes(again.draws)) == (bytes(first.curve), bytes(first.draws))


def test_a_changed_white_works_out_the_tints_that_used_it_and_no_others(studio, keeper, white, blue):
    magenta = label(studio, keeper, "Magenta", "PR122")
    give(white, keeper, "masstone", TITANIUM)
    give(blue, keeper, "masstone", ULTRAMARINE[0])
    give(blue, keeper, "tint-1-9", ULTRAMARINE[2], white)
    give(magenta, keeper, "masstone", MAGENTA[0])
    mine, other = stored(blue), stored(magenta)
    withdraw(Measurement.objects.get(paint=white), by=keeper)
    assert stored(blue).fingerprint != mine.fingerprint
    assert stored(magenta).computed_at == other.computed_at
    assert not PaintCurve.objects.filter(paint=white).exists()


def test_many_tints_of_one_white_wait_and_are_worked_through(studio, keeper, white, blue, monkeypatch):
    monkeypatch.setattr(working_out, "AT_ONCE", 0)
    give(white, keeper, "masstone", TITANIUM)
    give(blue, keeper, "masstone", ULTRAMARINE[0])
    give(blue, keeper, "tint-1-9", ULTRAMARINE[2], white)
    old = stored(blue)
    give(white, keeper, "masstone", "96.0, -0.5, 2.0")
    waits = stored(blue)
    assert (waits.state, waits.fingerprint) == (CurveState.WORKING, old.fingerprint)
    assert curve(blue) is not None, "the old curve stands until then"
    assert work_through(studio) == 0
    assert (stored(blue).state, stored(blue).fingerprint == old.fingerprint) == (CurveState.READY, False)


def test_a_label_typed_again_works_out_that_paint(keeper, blue, django_capture_on_commit_callbacks):
    give(blue, keeper, "masstone", ULTRAMARINE[0])
    before = stored(blue).fingerprint
    texts = LabelTexts(**{**texts_of(blue).__dict__, "pigments": "PB15:3"})
    with django_capture_on_commit_callbacks(execute=True) as callbacks:
        change_paint(blue, by=keeper, texts=texts, binder="acrylic")
    assert len(callbacks) == 1
    assert stored(blue).state == CurveState.READY
    assert stored(blue).fingerprint != before


def test_loading_changed_optics_works_the_curves_out_again(keeper, blue):
    give(blue, keeper, "masstone", ULTRAMARINE[0])
    before = stored(blue)
    OpticalRow.objects.filter(pigment__ci_name="PB29").update(S0=0.9)
    call_command("load_reference", verbosity=0)
    assert stored(blue).fingerprint == before.fingerprint, "the table brought the old row back"
    OpticalRow.objects.filter(pigment__ci_name="PB29").update(S0=0.9)
    colours.optics_changed()
    assert stored(blue).fingerprint != before.fingerprint


def test_an_older_method_is_worked_out_again_where_the_reference_is_loaded(keeper, blue, capsys):
    give(blue, keeper, "masstone", ULTRAMARINE[0])
    call_command("load_reference")
    assert "measured colours" not in capsys.readouterr().out
    PaintCurve.objects.update(version="0", fingerprint="of another method")
    call_command("load_reference")
    assert "measured colours: 1 looked at again" in capsys.readouterr().out
    assert stored(blue).version != "0"


def test_withdrawing_everything_leaves_the_typical_curve_and_the_rows(keeper, blue):
    typical = blue.swatch
    kept = give(blue, keeper, "masstone", ULTRAMARINE[0])
    withdraw(kept, by=keeper)
    blue.refresh_from_db()
    assert blue.swatch == typical
    assert curve(blue).origin is Origin.TYPICAL
    row = Measurement.objects.get()
    assert (row.withdrawn_by, row.text) == (keeper, ULTRAMARINE[0])
    colours.bring_back(row, by=keeper)
    assert stored(blue).state == CurveState.READY


def test_the_same_colour_given_twice_is_one(keeper, blue):
    first = give(blue, keeper, "masstone", ULTRAMARINE[0])
    assert give(blue, keeper, "masstone", ULTRAMARINE[0]) == first
    assert Measurement.objects.count() == 1


@pytest.mark.parametrize(
    ("text", "field", "words"),
    [
        ("167, 0, 0", "text", "L\\* is 167, but lightness runs from 0"),
        ("NaN, 0, 0", "text", "is no number"),
        ("#DB000", "text", "has 5 digits"),
        ("13R 4/30", "text", "13"),
        ("", "text", "Enter the colour"),
        ("x" * 200, "text", "at most 120"),
        ("90, -110, 110", "text", "no paint is above 150|end near"),
    ],
)
def test_a_colour_that_cannot_be_is_refused_with_its_value(keeper, blue, text, field, words):
    with pytest.raises(ValidationError, match=words) as refused:
        give(blue, keeper, "masstone", text)
    assert list(refused.value.error_dict) == [field]
    assert not Measurement.objects.exists()


def test_light_and_observer_are_asked_and_not_guessed(keeper, blue):
    with pytest.raises(ValidationError) as asked:
        give(blue, keeper, "masstone", ULTRAMARINE[0], illuminant="", observer="")
    assert set(asked.value.error_dict) == {"illuminant", "observer"}
    rough = give(blue, keeper, "masstone", ULTRAMARINE[0], illuminant="unknown", observer="unknown")
    assert rough.rough
    assert rough.sd > 2.0


def test_a_tint_darker_than_its_masstone_is_refused(keeper, blue):
    give(blue, keeper, "masstone", "50.0, 20.0, -20.0")
    with pytest.raises(ValidationError, match="white does not darken a paint"):
        give(blue, keeper, "tint-1-9", "30.0, 5.0, -5.0")
    assert Measurement.objects.count() == 1


def test_swapped_swatches_are_asked_and_exchanged(keeper, blue):
    give(blue, keeper, "masstone", ULTRAMARINE[2])
    with pytest.raises(ValidationError, match="Were the two exchanged") as asked:
        give(blue, keeper, "tint-1-9", ULTRAMARINE[0])
    assert set(asked.value.error_dict) == {"exchange"}
    give(blue, keeper, "tint-1-9", ULTRAMARINE[0], exchange=True)
    standing = {one.kind: one.text for one in Measurement.objects.standing()}
    assert standing == {"masstone": ULTRAMARINE[0], "tint-1-9": ULTRAMARINE[2]}
    assert Measurement.objects.count() == 3, "the row that was wrong stays, withdrawn"
    assert stored(blue).basis == "masstone and tints"


def test_a_black_darker_than_a_surface_is_asked_and_may_stand(studio, keeper):
    black = label(studio, keeper, "Ivory Black", "PBk9")
    with pytest.raises(ValidationError, match="darker than the surface") as asked:
        give(black, keeper, "masstone", "9.0, 0.1, -0.2")
    assert set(asked.value.error_dict) == {"confirmed"}
    give(black, keeper, "masstone", "9.0, 0.1, -0.2", confirmed=["darker than a surface reflects"])
    assert stored(black).state == CurveState.READY


def test_a_masstone_of_another_colour_than_its_code_is_asked_and_may_stand(keeper, blue):
    """An orange that is called PB29: nobody's ultramarine, so the code or the swatch is wrong."""
    with pytest.raises(ValidationError, match=r"from what PB29 usually looks like: another colour") as error:
        give(blue, keeper, "masstone", "55, 45, 50")
    assert set(error.value.error_dict) == {"confirmed"}
    kept = give(blue, keeper, "masstone", "55, 45, 50", confirmed=["masstone unlike its pigment"])
    assert ["usually looks like" in remark for remark in kept.remarks] == [True]
    withdraw(kept, by=keeper)
    assert give(blue, keeper, "masstone", "38, 8, -45").remarks == []


def test_a_white_that_is_not_white_is_refused(studio, keeper, blue):
    buff = label(studio, keeper, "Titan Buff", "PW6:1")
    give(buff, keeper, "masstone", "83.41, 2.02, 16.60")
    with pytest.raises(ValidationError, match="is not a white") as refused:
        give(blue, keeper, "tint-1-9", ULTRAMARINE[2], buff)
    assert set(refused.value.error_dict) == {"white"}


def test_a_titanium_white_of_another_colour_is_doubted(keeper, white):
    with pytest.raises(ValidationError, match=r"The label says PW6, a white, but L\* 40.0"):
        give(white, keeper, "masstone", "40, 0, 0")


def test_only_a_tint_has_a_white_and_only_of_its_studio(studio, other_studio, keeper, white, blue):
    with pytest.raises(ValidationError, match="A masstone has no white in it"):
        give(blue, keeper, "masstone", ULTRAMARINE[0], white)
    foreign = label(other_studio, keeper, "Titanium White", "PW6")
    with pytest.raises(ValidationError, match="not in this studio"):
        give(blue, keeper, "tint-1-9", ULTRAMARINE[2], foreign)
    with pytest.raises(ValidationError, match="no swatch; choose one of Masstone"):
        give(blue, keeper, "glaze", ULTRAMARINE[0])


def test_a_tint_lighter_than_its_white_is_refused(keeper, white, blue):
    give(white, keeper, "masstone", "90.0, 0.0, 3.0")
    give(blue, keeper, "masstone", ULTRAMARINE[0])
    with pytest.raises(ValidationError, match="lighter than the white"):
        give(blue, keeper, "tint-1-9", "97.0, 0.0, -3.0", white)


def test_a_paint_of_nine_pigments_is_worked_out_from_the_first_eight(studio, keeper):
    paint = label(studio, keeper, "Studio Grey", "PB29, PR122, PY3, PG7, PBk9, PO20, PR108, PY42, PBr7")
    assert paint.pigment_lines.count() == 9
    give(paint, keeper, "masstone", "30, 1, 2")
    assert stored(paint).state == CurveState.READY
    assert "Of its 9 pigments the first 8 of the label are taken" in stored(paint).rests_on


def test_a_colour_without_a_code_is_known_only_alone(studio, keeper):
    paint = label(studio, keeper, "Mystery", "")
    give(paint, keeper, "masstone", "50, 40, 30")
    paint.refresh_from_db()
    found = stored(paint)
    assert not found.tints_allowed
    assert paint.swatch["tint"] is None
    answer = curve_of(with_curves(Paint.objects.filter(pk=paint.pk)).get(), typical_rows())
    assert answer.curve is None
    assert "known only alone" in answer.reason
    shown = paint_colour(studio, paint.pk).likely
    assert [(one.name, one.hex) for one in shown] == [("Tint 1:9", ""), ("Tint 1:1", "")], "no colour of a mixture"


def test_a_film_counts_once_its_thickness_is_known(keeper, blue):
    """X = R / (1 - R) for a white that absorbs nothing, by the closed form of Kubelka (1948)."""
    give(blue, keeper, "masstone", ULTRAMARINE[0])
    alone = stored(blue).fingerprint
    give(blue, keeper, "over-black", "20.0, 6.0, -14.0")
    assert stored(blue).fingerprint == alone
    film = give(blue, keeper, "over-black", "20.1, 6.0, -14.0", film_white="85")
    assert stored(blue).fingerprint != alone
    R = np.linspace(0.01, 0.99, 9801)
    Y = saunderson(R)
    expected = float(np.interp(((85 + 16) / 116) ** 3, Y, R / (1 - R)))
    assert film.thickness == pytest.approx(expected, rel=1e-3)
    for words, value in (("no L\\* from 0", "thick"), ("hides the black", "99.5"), ("no L\\*", "-3")):
        with pytest.raises(ValidationError, match=words):
            give(blue, keeper, "over-black", "21, 6, -14", film_white=value)


class TestFilmsInMicrometres:
    def test_a_white_of_known_thickness_is_the_scale_of_its_binder(self, studio, keeper, white, blue):
        """A white film of L* 85 over black is X units thick; twice its µm is 2 X, by the closed form (Kubelka 1948)."""
        give(blue, keeper, "masstone", ULTRAMARINE[0])
        waiting = give(blue, keeper, "over-black", "20.0, 6.0, -14.0", film_um="150")
        alone = stored(blue).fingerprint
        assert (waiting.film_um, waiting.film_typed, waiting.thickness) == (150.0, "150", None)
        found = paint_colour(studio, blue.pk)
        assert any("what that is in scattering is not" in one.why_unused for one in found.given)
        film = give(white, keeper, "over-black", "85, 0, 0", film_um="75 µm")
        R = np.linspace(0.01, 0.99, 9801)
        X = float(np.interp(((85 + 16) / 116) ** 3, saunderson(R), R / (1 - R)))
        assert film.thickness == pytest.approx(X, rel=1e-3)
        assert not film.scaled
        waiting.refresh_from_db()
        assert waiting.thickness == pytest.approx(2 * X, rel=1e-3)
        assert waiting.scaled
        assert stored(blue).state == CurveState.WORKING
        work_through(studio)
        assert stored(blue).fingerprint != alone
        later = give(blue, keeper, "over-white", "24.0, 12.0, -30.0", film_um="0,15 mm")
        assert later.thickness == pytest.approx(waiting.thickness)
        withdraw(film, by=keeper)
        for one in (waiting, later):
            one.refresh_from_db()
            assert (one.thickness, one.scaled) == (None, False)

    def test_a_film_told_by_its_own_white_needs_no_scale_and_gives_one(self, keeper, white, blue):
        by_white = give(blue, keeper, "over-black", "20.0, 6.0, -14.0", film_um="100", film_white="85")
        assert not by_white.scaled
        half = give(blue, keeper, "over-white", "24.0, 12.0, -30.0", film_um="50")
        assert half.thickness == pytest.approx(by_white.thickness / 2)

    def test_other_binders_and_other_whites_give_no_scale(self, studio, keeper, white, blue):
        zinc = label(studio, keeper, "Zinc White", "PW4")
        give(zinc, keeper, "over-black", "80, 0, 0", film_um="75")
        assert give(blue, keeper, "over-black", "20, 6, -14", film_um="75").thickness is None
        white.binder = "oil"
        white.save()
        give(white, keeper, "over-black", "85, 0, 0", film_um="75")
        assert give(blue, keeper, "over-white", "24, 12, -30", film_um="75").thickness is None

    @pytest.mark.parametrize(
        ("text", "said"),
        [
            ("0", "A film thickness is above 0 µm, not 0. Enter the wet film in µm, such as 75."),
            ("-75", "above 0 µm, not -75"),
            ("12 mm", "12000 µm is a slab: check the unit"),
            ("0.1", "thinner than a film of paint can be drawn: check the unit"),
            ("thick", "“thick” is no film thickness"),
            ("NaN", "“NaN” is no film thickness"),
            ("3 mil", "“3 mil” is no film thickness"),
        ],
    )
    def test_what_is_no_film_is_refused_with_value_and_remedy(self, keeper, blue, text, said):
        with pytest.raises(ValidationError) as refused:
            give(blue, keeper, "over-black", "20, 6, -14", film_um=text)
        (message,) = refused.value.message_dict["film_um"]
        assert said in message
        assert "such as 75" in message

    def test_a_masstone_has_none(self, keeper, blue):
        with pytest.raises(ValidationError, match="Only a drawdown has a film thickness"):
            give(blue, keeper, "masstone", "20, 6, -14", film_um="75")


def reflectances(code, parts):
    row = band_row(OpticalRow.objects.select_related("pigment").get(pigment__ci_name=code))
    own, ground = from_bands(row), generic_white()
    share = parts[0] / sum(parts)
    k, s = share * own.k + (1 - share) * ground.k, share * own.s + (1 - share) * ground.s
    return saunderson(reflectance_infinite(k, s))


def spectrum_file(values, nm=WAVELENGTHS_NM, heading="nm,Blue"):
    return "\n".join([heading, *(f"{band:g},{value:.5f}" for band, value in zip(nm, values, strict=True))]).encode()


CHOSEN = {"specular": "included", "geometry": "d:8", "backing": "hidden", "illuminant": "A"}


def test_spectra_of_masstone_and_tint_are_measured_curves(keeper, blue):
    for kind, parts in (("masstone", (1, 0)), ("tint-1-9", (1, 9))):
        data = spectrum_file(reflectances("PB29", parts))
        add_spectrum(blue, by=keeper, beside=Beside(kind), data=data, file_name="blue.csv", chosen=CHOSEN)
    found = stored(blue)
    assert found.origin == "measured"
    blue.refresh_from_db()
    assert blue.swatch["origin"] == "measured"
    kept = Measurement.objects.filter(kind="masstone").get()
    assert (len(kept.spectrum), kept.specular, kept.geometry, kept.backing) == (31, "included", "d:8", "hidden")
    own = from_bands(band_row(OpticalRow.objects.select_related("pigment").get(pigment__ci_name="PB29")))
    assert np.abs(np.log(found.as_curve().k / own.k)).max() < 0.5


def test_percent_is_asked_and_divided(keeper, blue):
    data = spectrum_file(100 * reflectances("PB29", (1, 0)))
    with pytest.raises(ValidationError, match="percent") as asked:
        add_spectrum(blue, by=keeper, beside=Beside("masstone"), data=data, file_name="b.csv", chosen=CHOSEN)
    assert set(asked.value.error_dict) == {"scale"}
    kept = add_spectrum(
        blue, by=keeper, beside=Beside("masstone"), data=data, file_name="b.csv", chosen={**CHOSEN, "scale": "percent"}
    )
    assert max(kept.spectrum) < 1.0


@pytest.mark.parametrize("step", [5, 20])
def test_other_steps_are_brought_to_ten(keeper, blue, step):
    nm = np.arange(380, 741, step)
    values = np.interp(nm, WAVELENGTHS_NM, reflectances("PB29", (1, 0)))
    kept = add_spectrum(
        blue, by=keeper, beside=Beside("masstone"), data=spectrum_file(values, nm), file_name="b.csv", chosen=CHOSEN
    )
    assert len(kept.spectrum) == 31
    at_500 = reflectances("PB29", (1, 0))[10]
    assert kept.spectrum[10] == pytest.approx(at_500, rel=0.1)
    # Bands that are there are taken as they stand; others are read between or averaged, and said to be.
    assert any("nm" in remark for remark in kept.remarks)


def test_missing_bands_and_unsaid_conditions_are_told(keeper, blue):
    values = reflectances("PB29", (1, 0))
    short = spectrum_file(values[5:], WAVELENGTHS_NM[5:])
    with pytest.raises(ValidationError, match="400"):
        add_spectrum(blue, by=keeper, beside=Beside("masstone"), data=short, file_name="b.csv", chosen=CHOSEN)
    with pytest.raises(ValidationError) as asked:
        add_spectrum(blue, by=keeper, beside=Beside("masstone"), data=spectrum_file(values), file_name="b.csv")
    assert set(asked.value.error_dict) == {"specular", "geometry", "backing", "illuminant"}
    with pytest.raises(ValidationError, match="The file is empty"):
        add_spectrum(blue, by=keeper, beside=Beside("masstone"), data=b"", file_name="b.csv")


def test_a_file_of_several_samples_asks_which(keeper, blue):
    values = reflectances("PB29", (1, 0))
    rows = [f"{nm:g},{value:.5f},{value / 2:.5f}" for nm, value in zip(WAVELENGTHS_NM, values, strict=True)]
    data = "\n".join(["nm,One,Two", *rows]).encode()
    with pytest.raises(ValidationError, match="several samples: “One”, “Two”"):
        add_spectrum(blue, by=keeper, beside=Beside("masstone"), data=data, file_name="b.csv", chosen=CHOSEN)
    kept = add_spectrum(
        blue, by=keeper, beside=Beside("masstone"), data=data, file_name="b.csv", sample="One", chosen=CHOSEN
    )
    assert kept.text == "b.csv: One"


def test_the_database_refuses_what_no_form_would_send(keeper, blue):
    fine = {"paint": blue, "kind": Swatch.MASSTONE, "text": "x", "lightness": 50, "a": 0, "b": 0, "sd": 1, "by": keeper}
    for wrong in ({"lightness": 167}, {"sd": 0}, {"kind": "glaze"}, {"thickness": -1}, {"a": 999}, {"white": blue}):
        with pytest.raises(IntegrityError), transaction.atomic():
            Measurement.objects.create(**{**fine, **wrong})
    for state in ("ready", "failed", "done"):
        with pytest.raises(IntegrityError), transaction.atomic():
            PaintCurve.objects.create(paint=blue, state=state)


def test_a_failed_recovery_says_why_and_keeps_the_measurement(keeper, blue):
    OpticalRow.objects.all().delete()
    kept = give(blue, keeper, "masstone", ULTRAMARINE[0])
    assert kept.pk
    assert stored(blue).state == CurveState.FAILED
    assert "load the optics table" in stored(blue).message


def test_what_would_gain_most_comes_first(studio, keeper, white, blue):
    give(blue, keeper, "masstone", ULTRAMARINE[0])
    give(blue, keeper, "tint-1-9", ULTRAMARINE[2], white)
    label(studio, keeper, "Magenta", "PR122")
    found = known_colours(studio)
    assert [one.paint.name for one in found] == ["Titanium White", "Magenta", "Ultramarine Blue"]
    assert [one.next for one in found] == [
        "its masstone",
        "its masstone and a weighed tint in white",
        "the other weighed tint, 1:1 or 1:9",
    ]
    assert (found[0].uses, found[2].known) == (1, "Masstone, tint 1:9 and pigment code")


def test_pages_cost_the_same_for_any_number_of_colours(studio, keeper, white, django_assert_num_queries):
    give(white, keeper, "masstone", TITANIUM)
    paints = [label(studio, keeper, f"Blue {number}", "PB29") for number in range(4)]
    for paint in paints:
        give(paint, keeper, "masstone", ULTRAMARINE[0])
        give(paint, keeper, "tint-1-9", ULTRAMARINE[2], white)
        ledger.receive(studio, paint, nominal_milli=37_000, unit="ml", by=keeper)
    with django_assert_num_queries(5):  # uses, paints, lines, measurements, lines of their whites
        known_colours(studio)
    with django_assert_num_queries(7):  # rows, paint, lines, measurements, lines of their whites, curve, withdrawn
        paint_colour(studio, paints[0].pk)
    with django_assert_num_queries(3):  # rows, paints with their curves, lines
        working_palettes(studio)


def test_another_studio_learns_nothing(client, stranger, studio, keeper, blue):
    kept = give(blue, keeper, "masstone", ULTRAMARINE[0])
    client.force_login(stranger)
    mill = stranger.memberships.get().studio
    assert client.get(reverse("inventory:paint_colour", args=[mill.slug, blue.pk])).status_code == 404
    assert client.post(reverse("inventory:measurement_withdraw", args=[mill.slug, kept.pk])).status_code == 404
    assert known_colours(mill) == []
    kept.refresh_from_db()
    assert kept.withdrawn_at is None

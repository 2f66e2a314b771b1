"""What people type into paint lists, as it stands in the preview of an import and on the stored paint.

The shapes come from lists in use (typed by hand, personal details dropped); common practice, no source, unless said.
"""

import csv
import io

import pytest
from django.urls import reverse

from inventory.exchange import ImportSettings
from inventory.models import Entry, ImportBatch, Paint, RowState, Tube
from inventory.queries.imports import counts, settings_of, shown_rows
from inventory.queries.shelf import shelf
from inventory.services import imports

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("pigments")]
HEADINGS = ("Name", "Pigments", "Lightfastness", "Opacity", "Single pigment", "Size", "Sealed", "Open", "Left", "Code")


def table(rows):
    """Rows of (name, pigments, further cells by heading); one sealed tube of 37 ml each unless said."""
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(HEADINGS)
    for name, codes, cells in rows:
        usual = {"Name": name, "Pigments": codes, "Size": "37 ml", "Sealed": "1", **cells}
        writer.writerow([usual.get(heading, "") for heading in HEADINGS])
    return text.getvalue().encode()


def looked_at(studio, by, rows):
    batch = imports.begin(studio, by=by, data=table(rows), file_name="list.csv")
    batch = imports.set_columns(batch, batch.mapping, settings_of(batch))
    imports.read_some(batch)
    return batch


def said(batch):
    """What the preview says of each row, by line."""
    shown = shown_rows(batch, batch.rows.order_by("line"))
    return [" ".join([*(question["message"] for question in one.questions), *one.remarks]) for one in shown]


# Typed, then stored codes (with the shade that the name told), what is known, and words of the preview ("" for none).
LABELS = [
    ("a", "PB 29", ["PB29"], "settled", ""),
    ("b", "P.B.29", ["PB29"], "settled", ""),
    ("c", "pb-29", ["PB29"], "settled", ""),
    ("d", "Pigment Blue 29, 77007", ["PB29"], "settled", ""),
    ("e", "C.I. 77007", [], "asked", "PB29 (ultramarine blue). Choose which the tube names"),
    ("f", "PB 15:3", ["PB15:3"], "settled", ""),
    ("g", "PB15.3", ["PB15:3"], "settled", "“PB15.3” is read as PB15:3"),
    ("h", "PB15-3", ["PB15:3"], "settled", "“PB15-3” is read as PB15:3"),
    ("i", "PB15/3", ["PB15:3"], "settled", "“PB15/3” is read as PB15:3"),
    ("j", "PB15/PB3", [], "asked", "“PB3” is not in our list of pigments"),
    ("k", "PB15", [], "asked", "whose members differ"),
    ("Burnt Umber", "PBR7", ["PBr7 burnt umber"], "settled", ""),
    ("l", "PBK9", ["PBk9"], "settled", ""),
    ("m", "Pbr6", ["PBr6"], "settled", ""),
    ("Titanium White", "Pw6", ["PW6 titanium white"], "settled", ""),
    ("n", "Py3", ["PY3"], "settled", ""),
    ("o", "Pww6", [], "asked", "Did you mean PW6?"),
    ("Yellow Ochre", "PY42", ["PY42"], "settled", ""),
    ("Yellow Ochre", "PY43", ["PY43"], "settled", ""),
    ("p", "PYl50", ["PY150"], "settled", "a letter is read as a digit"),
    ("q", "PY15O", ["PY150"], "settled", "a letter is read as a digit"),
    ("r", "PO2O", ["PO20"], "settled", "a letter is read as a digit"),
    ("Red Iron Oxide", "PR1OI", ["PR101 red iron oxide"], "settled", "a letter is read as a digit"),
    ("Ультрамарин", "РВ29", ["PB29"], "settled", "letters of another alphabet"),
    ("s", "ＰＢ２９", ["PB29"], "settled", ""),
    ("t", "PB\u00a029", ["PB29"], "settled", ""),
    ("u", "PB–29", ["PB29"], "settled", ""),
    ("Hansa Yellow Medium", "PW97", [], "asked", "Did you mean PY97? The name “Hansa Yellow Medium” says yellow."),
    ("Aureolin Hue", "PBr57, PY151", ["PY151"], "asked", "Did you mean PBr7?"),
    ("w", "PV16 -- Phthalo turquoise", ["PV16"], "settled", "says turquoise, but PV16 (manganese violet) is violet"),
    ("x", "(CALCIUM_CARBONATE_BASE), PB29", ["PB29"], "settled", "is a filler: it is kept"),
    ("y", "PR N/A", [], "unknown", "counts in stock and not in coverage"),
    ("z", "", [], "unknown", "counts in stock and not in coverage"),
    ("aa", "none", [], "unknown", "counts in stock and not in coverage"),
    ("ab", "-", [], "unknown", "counts in stock and not in coverage"),
    ("ac", "---", [], "unknown", "counts in stock and not in coverage"),
    ("Cadmium Red Medium Hue", "PR112 + PR5", ["PR112", "PR5"], "settled", "no listed pigment (PR112, PR5) contains"),
    ("Cadmium-Free Red", "", [], "unknown", "ask the maker for the data sheet"),
    ("Cadmium Yellow Light Hue", "PY35", ["PY35 cadmium yellow light"], "settled", "counts as one with cadmium"),
    ("Raw Sienna", "PBr7", ["PBr7 raw sienna"], "settled", ""),
    ("Burnt Sienna", "PBr7", ["PBr7 burnt sienna"], "settled", ""),
    ("Raw Umber", "PBr7", ["PBr7 raw umber"], "settled", ""),
    ("Quinacridone Rose", "PV19", ["PV19 quinacridone red gamma"], "settled", ""),
    ("Quinacridone Violet", "PV19", ["PV19 quinacridone violet beta"], "settled", ""),
    ("ad", "PR122, BV10", ["PR122"], "asked", "the code of a dye"),
    ("ae", "=PB29", ["PB29"], "settled", ""),
    ("af", "<b>PB29</b>", ["PB29"], "settled", ""),
    ("ag", "PG36  ", ["PG36"], "settled", ""),
]  # fmt: skip


def test_labels_are_previewed_and_stored_as_they_are_read(studio, keeper):
    batch = looked_at(studio, keeper, [(name, typed, {}) for name, typed, *_ in LABELS])
    assert counts(batch)[RowState.ERROR] == 0
    for (name, typed, *_, words), shown in zip(LABELS, said(batch), strict=True):
        assert words in shown, (name, typed)
        assert words or not shown, (name, typed)
    imports.commit(batch, by=keeper)
    stored = {
        (paint.name, paint.pigment_text): (
            [" ".join(filter(None, line)) for line in paint.pigment_lines.values_list("code", "shade__name")],
            paint.pigments_known,
        )
        for paint in Paint.objects.of(studio)
    }
    assert stored == {(name, typed.strip(" ")): (codes, known) for name, typed, codes, known, _ in LABELS}
    # Every spelling of a code is found by one search, and a word finds what bears it.
    assert {row.name for row in shelf(studio, search="PB29").rows} >= {*"abcdstux", "Ультрамарин", "ae", "af"}


MARKS = [
    ("Lightfastness", "8-Jul", ("", "unknown"), "Did you mean 7-8?"),
    ("Lightfastness", "08.07.2024", ("", "unknown"), "Did you mean 7-8?"),
    ("Lightfastness", "1", ("", "unknown"), "the best mark of ASTM and the worst of blue wool"),
    ("Lightfastness", "Ⅰ", ("", "unknown"), "the best mark of ASTM and the worst of blue wool"),
    ("Lightfastness", "l", ("", "unknown"), "the best mark of ASTM and the worst of blue wool"),
    ("Lightfastness", "LF1", ("", "unknown"), "the best mark of ASTM and the worst of blue wool"),
    ("Lightfastness", "Not Rated", ("", "unknown"), ""),
    ("Lightfastness", "N/R", ("", "unknown"), ""),
    ("Lightfastness", "N/A", ("", "unknown"), ""),
    ("Opacity", "T", "transparent", ""),
    ("Opacity", "□", "transparent", ""),
    ("Opacity", "clear square", "transparent", ""),
    ("Opacity", "transparent", "transparent", ""),
    ("Opacity", "1", "unknown", "Choose what the label means by it"),
    ("Opacity", "TL", "unknown", "can mean transparent or semi-transparent"),
    ("Opacity", "◪", "unknown", "depending on the maker"),
]


def test_marks_are_previewed_and_stored_with_their_scale(studio, keeper):
    rows = [(f"Blue {n}", "PB29", {field: typed}) for n, (field, typed, *_) in enumerate(MARKS)]
    batch = looked_at(studio, keeper, rows)
    assert counts(batch)[RowState.ERROR] == 0
    for (_, typed, _, words), shown in zip(MARKS, said(batch), strict=True):
        assert words in shown, typed
        assert words or not shown, typed
    imports.commit(batch, by=keeper)
    for paint, (field, typed, value, _) in zip(Paint.objects.of(studio).order_by("pk"), MARKS, strict=True):
        if field == "Opacity":
            assert (paint.opacity, paint.opacity_text) == (value, typed)
        else:
            assert (paint.lightfastness, paint.lightfastness_scale) == value
            assert paint.lightfastness_text == typed


@pytest.mark.parametrize(("scale", "value"), [("astm", "I"), ("blue-wool", "1")])
def test_a_mark_counts_on_the_scale_that_was_named_for_its_column(studio, keeper, scale, value):
    batch = looked_at(studio, keeper, [("Blue", "PB29", {"Lightfastness": "1"})])
    named = ImportSettings.of({**settings_of(batch).as_json(), "lightfastness_scale": scale})
    batch = imports.set_columns(batch, batch.mapping, named)
    imports.read_some(batch)
    imports.commit(batch, by=keeper)
    assert Paint.objects.values_list("lightfastness", "lightfastness_scale").get() == (value, scale)


def test_ranges_of_blue_wools_are_stored_as_they_are(studio, keeper):
    imports.commit(looked_at(studio, keeper, [("Blue", "PB29", {"Lightfastness": "7-8"})]), by=keeper)
    assert Paint.objects.values_list("lightfastness", "lightfastness_scale").get() == ("7-8", "blue-wool")


COUNTS = [
    ({"Sealed": "-1"}, "“-1” cannot be used as a count: it has a minus sign; enter 0 or more"),
    ({"Sealed": "-0"}, "“-0” cannot be used as a count: it has a minus sign; enter 0 or more"),
    ({"Sealed": "1e9"}, "“1e9” cannot be used as a count: it is written with an exponent"),
    ({"Sealed": "NaN"}, "“NaN” cannot be used as a count: it is no number"),
    ({"Sealed": "12.5"}, "“12.5” cannot be used as a count: sealed containers are counted whole"),
    ({"Open": "NaN"}, "“NaN” cannot be used as a filling: it is no part of a whole"),
    ({"Size": "NaN ml"}, "“NaN ml” cannot be used"),
    ({"Sealed": "0", "Open": "1", "Left": "61 g left"}, "“61 g left” is in g, but the size is in ml."),
]


def test_amounts_that_cannot_be_keep_a_list_out_and_name_column_and_value(client, studio, keeper):
    batch = looked_at(studio, keeper, [(f"Blue {n}", "PB29", cells) for n, (cells, _) in enumerate(COUNTS)])
    assert counts(batch)[RowState.ERROR] == len(COUNTS)
    shown = [shown_rows(batch, [row])[0] for row in batch.rows.order_by("line")]
    for (cells, words), one in zip(COUNTS, shown, strict=True):
        assert words in one.questions[0]["message"]
        assert f"column “{list(cells)[-1]}”" in one.questions[0]["where"]
    client.force_login(keeper)
    page = client.post(reverse("inventory:import_commit", args=[studio.slug, batch.pk]), follow=True)
    assert "Nothing was taken in" in page.content.decode()
    assert Paint.objects.count() == Tube.objects.count() == Entry.objects.count() == 0


def test_a_part_belongs_to_an_open_tube(studio, keeper):
    imports.commit(looked_at(studio, keeper, [("Blue", "PB29", {"Sealed": "0", "Open": "1.5"})]), by=keeper)
    assert sorted(Tube.objects.values_list("balance_milli", "state")) == [(18_500, "open"), (18_500, "open")]


def test_a_code_of_another_list_is_named_where_the_same_paint_has_a_slip(studio, keeper):
    imports.commit(looked_at(studio, keeper, [("Aureolin Hue", "PBr7, PY151", {})]), by=keeper)
    again = looked_at(studio, keeper, [("AUREOLIN HUE", "PBr57, PY151", {})])
    assert "Did you mean PBr7? The same tube is listed with PBr7 elsewhere." in said(again)[0]


def test_a_derived_column_that_disagrees_is_shown_and_kept(studio, keeper):
    batch = looked_at(studio, keeper, [("Sap Green", "PG7, PY150", {"Single pigment": "yes"})])
    assert "The list says “yes” for single pigment, but PG7, PY150 are several pigments." in said(batch)[0]
    imports.commit(batch, by=keeper)
    assert Paint.objects.get().typed["Single pigment"] == "yes"


def test_product_codes_stay_text(studio, keeper):
    codes = ["004", "094", "W035W235", "#6000684", "=1+1", "@x", "+++", "-1"]
    imports.commit(looked_at(studio, keeper, [(f"Blue {code}", "PB29", {"Code": code}) for code in codes]), by=keeper)
    assert list(Paint.objects.order_by("pk").values_list("maker_code", flat=True)) == codes


def test_a_code_that_two_paints_have_is_kept_and_told(client, studio, keeper):
    rows = [("Red", "PR112", {"Code": "094"}), ("Blue", "PB29", {"Code": "094"}), ("Blue", "PB29", {"Code": "094"})]
    batch = looked_at(studio, keeper, rows)
    client.force_login(keeper)
    page = client.get(reverse("inventory:import", args=[studio.slug, batch.pk])).content.decode()
    assert "code stands at different paints: 094 (lines 2, 3). Each is kept as typed" in page
    imports.commit(batch, by=keeper)
    assert set(Paint.objects.values_list("maker_code", flat=True)) == {"094"}


def test_a_name_and_what_replaces_it_are_found_side_by_side_with_their_codes(client, studio, keeper):
    """PR83 is fugitive, and the paint sold in its place is not rated from it."""
    rows = [
        ("Alizarin Crimson", "PR83", {"Lightfastness": "ASTM IV"}),
        ("Permanent Alizarin", "PR177+PV19+PR149", {}),
        ("Payne’s Gray", "PB29, PBk9", {}),
        ("Ocre dorée", "PY43", {}),
    ]
    imports.commit(looked_at(studio, keeper, rows), by=keeper)
    client.force_login(keeper)
    for name in ("shelf", "paints"):
        asked = {"q": "alizarin", "search": "alizarin"}
        page = client.get(reverse(f"inventory:{name}", args=[studio.slug]), asked).content.decode()
        for word in ("Alizarin Crimson", "Permanent Alizarin", "PR83", "PR177", "PV19", "PR149"):
            assert word in page
        assert "Ocre" not in page
    assert Paint.objects.get(name="Permanent Alizarin").lightfastness_scale == "unknown"
    assert [row.name for row in shelf(studio, search="payne's").rows] == ["Payne’s Gray"]
    assert [row.name for row in shelf(studio, search="ocre doree").rows] == ["Ocre dorée"]


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "cp1252"])
def test_letters_of_a_list_come_out_right_through_the_page(client, studio, keeper, encoding):
    text = "Name;Pigmente;Größe;Anzahl;Preis\r\nOcre dorée;PY3, PG7;37,5 ml;1;1,50\r\nPayne’s Gray;PB29;37,5 ml;1;\r\n"
    file = io.BytesIO(text.encode(encoding))
    file.name = "liste.csv"
    client.force_login(keeper)
    client.post(reverse("inventory:imports", args=[studio.slug]), {"file": file})
    batch = ImportBatch.objects.get()
    assert batch.columns[0] == "Name"
    batch = imports.set_columns(batch, batch.mapping, settings_of(batch))
    imports.read_some(batch)
    imports.commit(batch, by=keeper)
    assert sorted(Paint.objects.values_list("name", flat=True)) == ["Ocre dorée", "Payne’s Gray"]
    assert list(Paint.objects.get(name="Ocre dorée").pigment_lines.values_list("code", flat=True)) == ["PY3", "PG7"]
    assert set(Tube.objects.values_list("nominal_milli", flat=True)) == {37_500}


def test_the_same_list_twice_through_the_page_says_how_many_rows_are_there(client, studio, keeper):
    client.force_login(keeper)
    rows = [(f"Blue {n}", "PB29", {}) for n in range(72)]
    imports.commit(looked_at(studio, keeper, rows), by=keeper)
    again = looked_at(studio, keeper, rows)
    page = client.get(reverse("inventory:import", args=[studio.slug, again.pk])).content.decode()
    assert "Already there: 72 rows" in page
    assert Tube.objects.count() == 72

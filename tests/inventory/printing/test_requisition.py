"""The list of what to buy on paper: nothing is lost between pages, and each currency stands by itself."""

from datetime import date
from io import BytesIO

import pytest
from pypdf import PdfReader
from reportlab.lib.pagesizes import A4, letter

from inventory.printing.requisition import Requisition, RequisitionGroup, RequisitionLine, render, requisition_rows
from studio.printing.paper import UnknownPaperError


def line(number, **more):
    return RequisitionLine(
        **{
            "name": f"Paint {number}",
            "codes": "PB29",
            "code": f"{number:04d}",
            "packs": 2,
            "pack": 1,
            "size": "37 ml",
            "price": (695, "EUR"),
            "total": (1_390, "EUR"),
            **more,
        }
    )


def content(*groups, **more):
    return Requisition("Reed Lane", "What to buy", date(2026, 3, 2), groups, **more)


def text_of(pdf):
    return " ".join(" ".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages).split())


LONG = RequisitionGroup("Corner shop", "Ask for the school list.", tuple(line(n) for n in range(60)))


@pytest.mark.parametrize(("name", "size"), [("A4", A4), ("Letter", letter)])
def test_every_line_is_printed_once_and_pages_are_numbered(name, size):
    """The sheet sizes are reportlab's own: ISO 216 and ANSI/ASME Y14.1."""
    data = render(content(LONG), page_size=name)
    pages = PdfReader(BytesIO(data)).pages
    words = text_of(data)
    assert all(words.count(f"Paint {n} ") == 1 for n in range(60))
    for number in range(1, len(pages) + 1):
        assert f"Page {number} of {len(pages)}" in words
    assert "Together: 834.00 EUR" in words
    assert [float(side) for side in pages[0].mediabox[2:]] == pytest.approx(size, abs=0.01)


def test_what_may_be_bought_instead_and_what_not_stand_below_the_name():
    group = RequisitionGroup(
        "Corner shop",
        "",
        (
            line(1, accepted=("French Ultramarine (PB29)",), refused=("Ultramarine hue (PB15 + PW6)",)),
            line(2, price=(881, "USD"), total=(1_762, "USD")),
            line(3, price=None, total=None),
        ),
    )
    words = text_of(render(content(group, note="Next order date: 3 February 2027")))
    assert "Or: French Ultramarine (PB29)" in words
    assert "NOT: Ultramarine hue (PB15 + PW6)" in words
    assert "Together: 13.90 EUR and 17.62 USD" in words
    assert "1 line without a price" in words
    assert "no price" in words
    assert "Next order date: 3 February 2027" in words


def test_an_empty_list_says_so_and_the_same_content_gives_the_same_bytes():
    assert "Nothing is on the list." in text_of(render(content()))
    assert render(content(LONG)) == render(content(LONG))
    with pytest.raises(UnknownPaperError):
        render(content(), page_size="B5")


def test_names_in_other_scripts_and_very_long_ones_are_kept_whole():
    group = RequisitionGroup("Лавка", "", (line(1, name="Ультрамарин " * 12), line(2, code="A" * 60)))
    words = text_of(render(content(group)))
    assert words.count("Ультрамарин") == 12
    assert words.count("A") >= 60


def test_the_table_has_plain_decimals_with_the_currency_beside():
    rows = list(requisition_rows(content(RequisitionGroup("Shop", "", (line(1, accepted=("a", "b")),)))))
    assert rows[1] == ["Shop", "0001", "Paint 1", "PB29", "37 ml", "1", "2", "6.95", "13.90", "EUR", "a; b", ""]
    assert len(rows[0]) == len(rows[1])

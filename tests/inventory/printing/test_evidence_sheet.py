"""The evidence on paper: every figure is on it, in black and greys, with its fonts in it."""

from datetime import date
from io import BytesIO

import pytest
from pypdf import PdfReader

from inventory.colour.report import report
from inventory.printing.evidence import render
from studio.printing.paper import UnknownPaperError
from tests.inventory.colour.test_seen_and_report import EVIDENCE

MADE = date(2026, 3, 2)


def text_of(pdf):
    return " ".join(" ".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages).split())


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_every_figure_and_sentence_is_on_the_sheets(size):
    made = report(EVIDENCE)
    said = text_of(render(made, made_on=MADE, page_size=size))
    for sentence in made.sentences:
        assert " ".join(sentence.split()) in said
    for table in made.tables:
        assert table.title in said
        for row in table.rows:
            for cell in row[1:]:
                assert cell in said
    assert "2026-03-02" in said


def test_the_same_content_is_the_same_file():
    assert render(report(EVIDENCE), made_on=MADE) == render(report(EVIDENCE), made_on=MADE)


def test_nothing_on_it_has_a_colour():
    for page in PdfReader(BytesIO(render(report(EVIDENCE), made_on=MADE))).pages:
        drawn = page.get_contents().get_data().decode("latin-1").split()
        assert not {"rg", "RG", "k", "K"} & set(drawn)


def test_an_unknown_paper_is_refused():
    with pytest.raises(UnknownPaperError, match="must be one of A4, Letter, not 'A3'"):
        render(report(EVIDENCE), made_on=MADE, page_size="A3")

"""Which paper a place uses."""

import pytest

from studio.printing.paper import papers_for, usual_paper


@pytest.mark.parametrize(
    ("place", "paper"),
    [
        ("", "A4"),
        ("EU", "A4"),
        ("United Kingdom", "A4"),
        ("United Arab Emirates", "A4"),
        ("Australia (NSW)", "A4"),
        ("US", "Letter"),
        ("US, Ohio", "Letter"),
        ("U.S.A.", "Letter"),
        ("United States (California)", "Letter"),
        ("California, USA", "Letter"),
        ("Canada", "Letter"),
        ("the United States of America", "Letter"),
    ],
)
def test_the_paper_of_a_place(place, paper):
    """Letter in the United States and Canada, A4 elsewhere: common practice, no source."""
    assert usual_paper(place) == paper
    assert papers_for(place)[0] == paper
    assert set(papers_for(place)) == {"A4", "Letter"}

"""Another form is another exposure: nothing is taken over from the tube in silence."""

import pytest

from safety.rules.classify import LabelElements
from safety.rules.facts import Facts, Trust
from safety.rules.handling import cautions
from safety.rules.kinds_of_work import implied, sections
from tests.safety.reference import pigment


def keys(facts):
    return [one.key for one in cautions(facts, LabelElements(), Trust.SHEET)]


def paint(**more):
    return Facts("Colour", **{"binder": "oil", "pigments": (pigment("PB29"),), **more})


@pytest.mark.parametrize(
    ("sold_as", "there", "not_there"),
    [
        ("", (), ("dust:dry", "dust:stick", "spraying:mist", "form:powder")),
        ("paste", (), ("dust:dry", "form:paste")),
        ("powder", ("dust:dry", "form:powder"), ("dust:stick", "preservative")),
        ("stick", ("dust:stick", "form:stick"), ("dust:dry",)),
        ("spray", ("spraying:mist", "spraying:fire", "spraying:can", "form:spray"), ("dust:dry",)),
        ("marker", ("solvent:marker", "form:marker"), ("dust:stick",)),
        ("pan", (), ("dust:dry", "form:pan")),
    ],
)
def test_the_form_brings_its_own_lines(sold_as, there, not_there):
    found = keys(paint(sold_as=sold_as))
    assert set(there) <= set(found)
    assert not set(not_there) & set(found)
    assert len(found) == len(set(found))


def test_a_spray_can_is_not_told_not_to_be_sprayed():
    (line,) = (one for one in cautions(paint(sold_as="spray"), LabelElements(), Trust.SHEET) if one.key == "dust:spray")
    assert line.text == "Do not sand dry paint."


def test_a_powder_says_that_the_tube_is_no_answer():
    (line,) = (
        one for one in cautions(paint(sold_as="powder"), LabelElements(), Trust.SHEET) if one.key == "form:powder"
    )
    assert "another form is not known of this" in line.text
    assert "1272/2008" in line.source


def test_water_borne_paint_keeps_by_something():
    assert "preservative" in keys(paint(binder="acrylic"))
    assert "preservative" not in keys(paint(binder="oil"))
    assert "preservative" not in keys(paint(binder="gouache", sold_as="powder"))


def test_kinds_of_work_that_the_form_implies_come_first():
    assert implied(paint(binder="encaustic")) == ("heating",)
    assert [one.work for one in sections(paint(binder="encaustic"))] == ["heating", "sanding", "spraying"]
    assert [one.implied for one in sections(paint())] == [False, False, False]
    assert "heating:fume" in keys(paint(binder="encaustic"))


def test_every_line_has_a_reason_and_a_source():
    for found in sections(paint(sold_as="spray", pigments=(pigment("PR108"), pigment("PW1")))):
        assert found.cautions
        for one in found.cautions:
            assert one.text
            assert one.why
            assert one.source


def test_metals_are_named_for_dust_and_mist():
    """29 CFR 1910.1027 covers cadmium in all forms, 1910.1025 lead."""
    works = {one.work: [line.key for line in one.cautions] for one in sections(paint(pigments=(pigment("PR108"),)))}
    assert "sanding:Cd" in works["sanding"]
    assert "spraying:Cd" in works["spraying"]
    assert not any(key.endswith(":Cd") for key in (line.key for one in sections(paint()) for line in one.cautions))


def test_what_is_not_known_is_said_for_each_kind_of_work():
    for found in sections(paint(pigments=())):
        assert f"{found.work}:unknown" in [one.key for one in found.cautions]

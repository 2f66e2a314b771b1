"""What a palette in use lacks, as the page of the next tube answers it."""

import pytest

from inventory import services
from inventory.models import Paint
from inventory.queries.next_tube import next_tubes
from inventory.queries.wheel import wheel
from tests.inventory.test_wheel_page import shelve

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("pigments")]
# A limited palette in use, with a white; its owner wished for a lightfast magenta or rose. Common practice, no source.
OWNED = [
    ("Titanium White", "PW6"), ("Cadmium Red Medium", "PR108"), ("Alizarin Crimson", "PR83"), ("Ultramarine", "PB29"),
    ("Prussian Blue", "PB27"), ("Cadmium Yellow Light", "PY35"), ("Cobalt Teal", "PG50"), ("Perylene Violet", "PV29"),
    ("Red Iron Oxide", "PR101"), ("Yellow Ochre", "PY42"), ("Leaf Green", "PG36 PY110"), ("Naphthol Scarlet", "PR188"),
    ("Cerulean Blue", "PB35"),
]  # fmt: skip


def magenta_of(studio):
    candidates = next_tubes(studio).candidates
    place = next(place for place, one in enumerate(candidates) if one.pigment.ci_name == "PR122")
    return place, candidates[place]


def test_a_magenta_is_missed_and_more_so_without_the_red_that_fades(studio, keeper):
    """PR83 fades and covers part of what PR122 would; taken away, the magenta opens more and ranks higher."""
    shelve(studio, keeper, OWNED)
    place, magenta = magenta_of(studio)
    whole = wheel(studio).percent
    assert place < 10
    assert "red-violet" in magenta.opens
    services.finish(Paint.objects.get(name="Alizarin Crimson").tubes.get(), by=keeper)
    later, more = magenta_of(studio)
    assert later < place
    assert more.points > magenta.points
    assert wheel(studio).percent < whole

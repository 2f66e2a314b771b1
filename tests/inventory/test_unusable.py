"""A tube owned is not a tube usable: what dried up, separated or moulds is left out of whatever is mixed or painted."""

import pytest
from django.urls import reverse

from inventory import services
from inventory.models import Barcode, Condition, Tube
from inventory.queries import attention, barcodes, colours, lasting, levels, next_tube, reorder, wheel
from inventory.queries import paints as catalogue
from inventory.queries.mixable import bench
from inventory.queries.owned import owned
from inventory.queries.paint_sets import Asked, Of, paint_set, pickable
from inventory.queries.palette import paints_in_stock, working_palettes
from inventory.queries.palettes import design
from inventory.queries.palettes.tubes import paints_at_hand
from inventory.services.levels import set_level
from tests.inventory.test_wheel_page import shelve, words

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("pigments")]

CRIMSON = "Alizarin Crimson"
SHELF = [("Titanium White", "PW6"), ("Hansa Yellow Light", "PY3"), ("Ultramarine", "PB29"), (CRIMSON, "PR83")]


def of_palettes(found):
    return {paint.name for one in found for paint in one.paints.values()}


def of_set(found):
    return of_palettes([found.chosen.palette])


def of_same_jobs(studio):
    return of_set(wheel.same_jobs_of(paint_set(studio, Asked())))


def at_the_place(studio):
    place = Tube.objects.values_list("place", flat=True)[0]
    return of_palettes(paint_set(studio, Asked(Of.PLACE, place)).palettes)


def asked_about(studio):
    said = " ".join(one.sentence for one in attention.unknown_pigments(studio))
    return {name for name, _ in SHELF if name in said}


def stocked(rows):
    return {paint.name for paint in rows if paint.in_stock}


COUNTS = {
    "wheel": lambda studio: of_set(wheel.wheel(studio, Asked())),
    "redundancy": of_same_jobs,
    "next tube": lambda studio: of_set(next_tube.next_tubes(studio, Asked())),
    "working palettes": lambda studio: of_palettes(working_palettes(studio)),
    "paints in stock": lambda studio: {paint.name for paint in paints_in_stock(studio)},
    "set of a place": at_the_place,
    "ticked paints": lambda studio: stocked(pickable(studio)),
    "mixtures": lambda studio: {one.paint.name for one in bench(studio).paints},
    "palettes": lambda studio: {paint.name for paint in paints_at_hand(studio)},
    "colours": lambda studio: {one.paint.name for one in colours.known_colours(studio) if one.in_stock},
    "fading": lambda studio: {
        one.paint.name for scale in ("astm", "blue_wool", "maker") for one in getattr(lasting.watched(studio), scale)
    },
    "held for the advice": lambda studio: {
        one.item.name for one in reorder.reorder_advice(studio) if one.situation.held_milli
    },
    "levels": lambda studio: {one.item.name for one in levels.levels(studio) if not one.is_short},
    "question of pigments": asked_about,
}


def test_no_read_of_what_can_be_used_counts_it(studio, keeper, place, client):
    paints = {paint.name: paint for paint in shelve(studio, keeper, SHELF, place=place)}
    crimson = paints[CRIMSON]
    crimson.lightfastness, crimson.lightfastness_scale = "IV", "astm"
    crimson.save()
    set_level(crimson, by=keeper, level_tubes=1, counting="usable")
    before = {name: read(studio) for name, read in COUNTS.items() if name != "question of pigments"}
    assert [name for name, found in before.items() if CRIMSON not in found] == []

    tube = Tube.objects.get(item=crimson)
    services.examine(tube, condition=Condition.DRIED, by=keeper)
    after = {name: read(studio) for name, read in COUNTS.items()}
    assert [name for name, found in after.items() if CRIMSON in found] == []

    client.force_login(keeper)
    left_out = f"Left out, since nothing that is left of it can be used: {CRIMSON}."
    for name in ("wheel", "wheel_same_job", "wheel_next", "mix", "seek", "layers", "strength"):
        assert left_out in words(client.get(reverse(f"inventory:{name}", args=[studio.slug])).content.decode()), name
    out = design.designed(studio, design.Asked(3)).out
    assert ("Nothing that is left of it can be used", (CRIMSON,)) in [(one.words, one.names) for one in out]
    # The shelf still owns it, and says what it is.
    assert "hold nothing or cannot be used" in owned(studio, "PR83").sentence.replace("holds", "hold")
    assert catalogue.stock_of([crimson.pk])[crimson.pk].words.endswith("1 of them not usable")
    Barcode.objects.create(studio=studio, item=crimson, digits="00012345678905")
    services.estimate_left(tube, left_milli=tube.nominal_milli // 2, by=keeper)
    assert barcodes.known(studio, "00012345678905").in_hand is None
    crimson.pigments_known = "unknown"
    crimson.save()
    assert asked_about(studio) == set()
    services.examine(tube, condition=Condition.USABLE, by=keeper)
    assert asked_about(studio) == {CRIMSON}
    assert barcodes.known(studio, "00012345678905").in_hand == tube

"""A whole studio written to a file and read into a fresh one: the same paints, materials, tubes and answers."""

import io

import pytest
from django.core.management import call_command

from inventory.exchange import write_csv, write_xlsx
from inventory.models import Barcode, Material, Paint, Reading, ReorderLevel, RowState, Tube
from inventory.queries.imports import counts, plan, settings_of, shelf_rows
from inventory.services import imports
from inventory.services.levels import set_level
from inventory.services.paints import answer
from studio import demo
from studio.models import Membership, Studio

pytestmark = pytest.mark.django_db


@pytest.fixture
def lived_in(db):
    """The demo studio, where somebody has answered one of the open questions."""
    call_command("load_reference", stdout=io.StringIO())
    demo.load()
    studio = Studio.objects.get(slug=next(iter(demo.STUDIOS)))
    reading = Reading.objects.filter(paint__studio=studio, field="pigments", settled=False)[0]
    doubt = next(doubt for doubt in reading.doubts if doubt["options"])
    keeper = studio.memberships.get(role="keeper").user
    answer(reading.paint, field="pigments", key=doubt["key"], value=doubt["options"][0]["value"], by=keeper)
    _facts_of_all_kinds(studio, keeper)
    return studio


def _facts_of_all_kinds(studio, keeper):
    """What the demo studio does not use of containers and paints; some of it hostile to a table."""
    first, second, *_ = Paint.objects.of(studio).order_by("pk")
    Paint.objects.filter(pk=first.pk).update(density_milli=1850, density_is_estimate=True)
    Paint.objects.filter(pk=second.pk).update(density_milli=1205)
    set_level(first, by=keeper, level_tubes=3, counting="usable")
    set_level(second, by=keeper, basis="amount", level_milli=500_000)
    Barcode.objects.create(studio=studio, item=first, digits="4006381333931", nominal_milli=37_500, by=keeper)
    Barcode.objects.create(studio=studio, item=first, digits="96385074", by=keeper)
    tubes = Tube.objects.of(studio).in_use().order_by("pk")
    for tube, facts in zip(
        tubes, (("=LOT,1", 7_250, "usable"), ("004", None, "dried"), ("", 0, "mouldy")), strict=False
    ):
        Tube.objects.filter(pk=tube.pk).update(batch=facts[0], tare_milli_g=facts[1], condition=facts[2])


@pytest.fixture
def fresh(lived_in):
    studio = Studio.objects.create(name="Fresh", slug="fresh")
    for member in lived_in.memberships.all():
        Membership.objects.create(studio=studio, user=member.user, role=member.role)
    return studio


def paints(studio):
    label = (
        "name", "binder", "maker", "maker_code", "series", "notes", "pigment_text", "pigments_known", "opacity",
        "opacity_text", "strength", "strength_scale", "strength_text", "lightfastness", "lightfastness_scale",
        "lightfastness_text", "form", "density_milli", "density_is_estimate",
    )  # fmt: skip
    return sorted(
        (*(getattr(paint, name) for name in label), *paint.pigment_lines.values_list("code", "shade__name", "as_typed"))
        for paint in Paint.objects.of(studio)
    )


def materials(studio):
    return sorted(Material.objects.filter(studio=studio).values_list("name", "material_kind", "maker", "notes", "form"))


def tubes(studio):
    fields = (
        "item__name", "unit", "nominal_milli", "balance_milli", "balance_is_estimate", "state", "place__name",
        "owner_kind", "owner__username", "owner_class", "batch", "tare_milli_g", "condition",
    )  # fmt: skip
    return sorted(map(str, Tube.objects.of(studio).in_use().values_list(*fields)))


def beside(studio):
    level = ("item__name", "basis", "level_tubes", "level_milli", "unit", "counting")
    code = ("item__name", "digits", "nominal_milli", "unit")
    return (
        sorted(ReorderLevel.objects.filter(item__studio=studio, item__archived_at=None).values_list(*level)),
        sorted(map(str, Barcode.objects.filter(studio=studio).values_list(*code))),
    )


@pytest.mark.parametrize("write", [write_csv, write_xlsx])
def test_a_whole_studio_comes_back_as_it_was(lived_in, fresh, write):
    keeper = fresh.memberships.get(role="keeper").user
    suffix = "csv" if write is write_csv else "xlsx"
    whole = shelf_rows(lived_in, empty_too=True)
    batch = imports.begin(fresh, by=keeper, data=write(whole), file_name=f"shelf.{suffix}")
    batch = imports.set_columns(batch, batch.mapping, settings_of(batch))
    imports.read_some(batch)
    assert counts(batch)[RowState.ERROR] == 0
    assert (plan(batch).paints, plan(batch).materials) == (len(paints(lived_in)), len(materials(lived_in)))
    result = imports.commit(batch, by=keeper)
    assert (result.paints, result.materials) == (len(paints(lived_in)), len(materials(lived_in)))
    assert paints(fresh) == paints(lived_in)
    assert materials(fresh) == materials(lived_in)
    assert len(materials(fresh)) > 5
    assert tubes(fresh) == tubes(lived_in)
    assert beside(fresh) == beside(lived_in)
    assert len(beside(fresh)[0]) > 2


def test_a_studio_with_tubes_of_the_same_numbers_takes_a_shelf_in_too(lived_in):
    """Numbers are written on the tubes of one studio; another has the same."""
    other = Studio.objects.exclude(pk=lived_in.pk).get()
    keeper = other.memberships.get(role="keeper").user
    before = Tube.objects.of(other).count()
    batch = imports.begin(other, by=keeper, data=write_csv(shelf_rows(lived_in)), file_name="shelf.csv")
    batch = imports.set_columns(batch, batch.mapping, settings_of(batch))
    imports.read_some(batch)
    imports.leave_out_errors(batch)  # an owner who is nobody there
    left_out = sum(row.read["sealed"] + len(row.read["open"]) for row in batch.rows.filter(state=RowState.LEFT_OUT))
    imports.commit(batch, by=keeper)
    assert Tube.objects.of(other).count() - before == Tube.objects.of(lived_in).in_use().count() - left_out

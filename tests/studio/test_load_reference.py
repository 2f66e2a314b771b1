"""The reference tables can be loaded again and again, and a studio's own rows stay as they are."""

import pytest
from django.core.management import call_command

from inventory.models import OpticalRow, Paint, Pigment
from inventory.services.reference import load_reference
from studio.reference import upsert

pytestmark = pytest.mark.django_db


def test_a_second_load_changes_nothing(capsys):
    call_command("load_reference")
    call_command("load_reference")
    second = capsys.readouterr().out.splitlines()
    assert len(second) > 1
    assert all(line.endswith("rows, 0 new, 0 changed") for line in second[len(second) // 2 :])
    assert Pigment.objects.count() >= 240
    assert OpticalRow.objects.count() >= 109


def test_a_newer_table_updates_rows_and_leaves_a_studios_paints_alone(studio):
    load_reference()
    blue = Pigment.objects.get(ci_name="PB29")
    paint = Paint.objects.create(studio=studio, name="Our blue")
    paint.pigment_lines.create(position=1, pigment=blue, as_typed="PB 29")
    newer = {"ci_name": "PB29", "ci_full": blue.ci_full, "hue_family": "blue", "source": "a newer handbook"}
    loaded = upsert(Pigment, ["ci_name"], [newer], name="pigments")
    assert (loaded.added, loaded.changed) == (0, 1)
    blue.refresh_from_db()
    assert blue.source == "a newer handbook"
    line = paint.pigment_lines.get()
    assert (line.pigment, line.as_typed) == (blue, "PB 29")


def test_what_is_not_established_stays_blank():
    load_reference()
    assert Pigment.objects.get(ci_name="PB29").density_g_cm3 is not None
    assert Pigment.objects.get(ci_name="PW2").density_g_cm3 is None
    assert Pigment.objects.get(ci_name="PY1").lightfastness_astm == ""

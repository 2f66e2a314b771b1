"""A shelf whose hazards are in the reference tables."""

import pytest

from inventory.models import Binder, Material, PaintPigment, Pigment
from inventory.reading import LabelTexts
from inventory.services import paints, receive


@pytest.fixture
def make_paint(studio, keeper, reference):
    """Give a function that adds a paint as it is typed and puts one tube of it on the shelf."""

    def make(name, pigments="", binder=Binder.OIL):
        paint = paints.add_paint(studio, by=keeper, texts=LabelTexts(name=name, pigments=pigments), binder=binder)
        receive(studio, paint, nominal_milli=37_000, unit="ml", by=keeper)
        return paint

    return make


@pytest.fixture
def make_material(studio, keeper, reference):
    def make(name, kind, cas=""):
        material = Material.objects.create(studio=studio, name=name, material_kind=kind, cas=cas)
        receive(studio, material, nominal_milli=500_000, unit="ml", by=keeper)
        return material

    return make


@pytest.fixture
def many_paints(make_paint):
    """Give a function that puts paints of different pigments on the shelf, without reading a label for each."""

    def make(count):
        model = make_paint("Paint 0", "PB29")
        codes = list(Pigment.objects.values_list("ci_name", "pk")[:count])
        made = [model]
        for number, (code, pk) in enumerate(codes[1:], start=1):
            paint = type(model).objects.create(studio=model.studio, name=f"Paint {number}", binder=Binder.OIL)
            PaintPigment.objects.create(paint=paint, position=1, code=code, pigment_id=pk)
            receive(model.studio, paint, nominal_milli=37_000, unit="ml", by=model.studio.members.first())
            made.append(paint)
        return made

    return make

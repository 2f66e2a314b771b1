"""Take the reference tables in; a studio's own rows are never touched."""

from typing import Any

from django.db import transaction

from inventory.models import OpticalRow, Pigment
from studio.reference import Loaded, table, upsert

OPTICAL_NUMBERS = ("K0", "floor", "Km", "S0", "Sn")


def _pigment(row: dict[str, str]) -> dict[str, Any]:
    return {**row, "density_g_cm3": float(row["density_g_cm3"]) if row["density_g_cm3"] else None}


def _optical_row(row: dict[str, str], pigment_ids: dict[str, int]) -> dict[str, Any]:
    values: dict[str, Any] = {name: value for name, value in row.items() if name != "ci"}
    values.update({name: float(row[name]) for name in OPTICAL_NUMBERS})
    return {"pigment_id": pigment_ids[row["ci"]], **values}


@transaction.atomic
def load_reference() -> list[Loaded]:
    """Load fixtures/pigments.csv and fixtures/optics.csv; a KeyError names an optical row whose pigment is missing."""
    pigments = upsert(Pigment, ["ci_name"], map(_pigment, table("pigments")), name="pigments")
    ids = dict(Pigment.objects.values_list("ci_name", "pk"))
    optics = upsert(
        OpticalRow, ["pigment_id", "name"], (_optical_row(row, ids) for row in table("optics")), name="optics"
    )
    return [pigments, optics]

"""Take the reference tables in; a studio's own rows are never touched."""

from django.db import transaction

from safety.models import HazardFact, Limit, Statement
from studio.reference import Loaded, table, upsert


@transaction.atomic
def load_reference() -> list[Loaded]:
    """Load fixtures/hazards.csv, fixtures/limits.csv and fixtures/statements.csv."""
    return [
        upsert(HazardFact, ["key"], table("hazards"), name="hazards"),
        upsert(Limit, ["key"], table("limits"), name="limits"),
        upsert(Statement, ["code", "hazard_class", "category"], table("statements"), name="statements"),
    ]

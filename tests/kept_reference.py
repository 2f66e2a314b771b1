"""The reference tables, read and checked once a run; a test that wants them gets a copy, which takes milliseconds."""

from io import StringIO

from django.core.management import call_command
from django.db import connection

from inventory.models import OpticalRow, Paint, Pigment
from inventory.services.reference import load_reference
from safety.models import HazardFact, Limit, Statement

PIGMENTS = (Pigment, OpticalRow)
ALL = (*PIGMENTS, HazardFact, Limit, Statement)


def keep():
    """Load the tables as a studio does, lay them aside, and leave the database as it was.

    The numbers given here are not given again, so what a test adds does not meet them.
    """
    _load_all()
    with connection.cursor() as cursor:
        for model in ALL:
            table = model._meta.db_table
            cursor.execute(f"DROP TABLE IF EXISTS kept_{table}")
            cursor.execute(f"CREATE TABLE kept_{table} AS SELECT * FROM {table}")  # noqa: S608
    for model in reversed(ALL):
        model.objects.all().delete()


def bring_pigments():
    if any(model.objects.exists() for model in PIGMENTS):
        load_reference()
    else:
        _copy(PIGMENTS)


def bring_all():
    """Where paints or rows are there already, the command has more to do than to add rows."""
    if any(model.objects.exists() for model in (Paint, *ALL)):
        _load_all()
    else:
        _copy(ALL)


def _load_all():
    call_command("load_reference", stdout=StringIO())


def _copy(models):
    with connection.cursor() as cursor:
        for model in models:
            columns = ", ".join(f'"{field.column}"' for field in model._meta.concrete_fields)
            table = model._meta.db_table
            cursor.execute(f"INSERT INTO {table} ({columns}) SELECT {columns} FROM kept_{table}")  # noqa: S608

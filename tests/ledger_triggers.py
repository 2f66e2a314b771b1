"""Lift and restore the ledger's triggers, for tests that flush tables at their end."""

from contextlib import contextmanager
from importlib import import_module

from django.db import connection

append_only = import_module("inventory.migrations.0002_ledger_append_only")


def _run(step):
    statements = {"sqlite": append_only.SQLITE, "postgresql": append_only.POSTGRESQL}[connection.vendor]
    with connection.cursor() as cursor:
        for statement in statements[step]:
            cursor.execute(statement)


@contextmanager
def lifted():
    _run("drop")
    try:
        yield
    finally:
        _run("create")

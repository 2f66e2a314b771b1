"""What many tests need: two studios with their people, and a shelf."""

from pathlib import Path

import pytest
from django.conf import settings
from django.contrib.auth.hashers import make_password
from django.db import connections
from django.test import TransactionTestCase

from inventory import services
from inventory.models import Binder, Paint, Place
from studio.models import Membership, Role, Studio, User
from tests import kept_reference
from tests.ledger_triggers import lifted
from tests.made_once import MadeOnce

PASSWORD = "masstone-undertone"


@pytest.fixture(scope="session")
def made_once(request, django_db_use_migrations):
    """The kept database, or none where it is not a file of our own or pytest was asked to do without migrations."""
    database = settings.DATABASES["default"]
    if "sqlite" not in database["ENGINE"] or not hasattr(request.config, "cache") or not django_db_use_migrations:
        return None
    return MadeOnce(request.config.cache.mkdir("database"), Path(database["TEST"]["NAME"]))


@pytest.fixture(scope="session")
def django_db_keepdb(django_db_keepdb, made_once):
    """A copy is taken as it is: Django asks for migrations, finds none, and leaves the file for us to remove."""
    if django_db_keepdb or not made_once:
        yield django_db_keepdb
        return
    copied = made_once.copied()
    yield copied
    if copied:
        connections.close_all()
        made_once.remove_copy()


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup, django_db_keepdb, django_db_blocker, made_once):
    if made_once and not django_db_keepdb:
        with django_db_blocker.unblock():
            made_once.keep()


@pytest.fixture(scope="session")
def kept_reference_tables(django_db_setup, django_db_blocker):
    with django_db_blocker.unblock():
        kept_reference.keep()


@pytest.fixture(autouse=True, scope="session")
def ledger_flush():
    """Let tests with `transactional_db` or `live_server` empty the tables: the ledger's triggers would refuse it."""
    flush = TransactionTestCase._fixture_teardown

    def flush_with_triggers_lifted(case):
        with lifted():
            flush(case)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(TransactionTestCase, "_fixture_teardown", flush_with_triggers_lifted)
        yield


def make_person(studio, role, username):
    user = User.objects.create(username=username, password=make_password(PASSWORD))
    Membership.objects.create(studio=studio, user=user, role=role)
    return user


@pytest.fixture
def studio(db):
    return Studio.objects.create(name="Reed Lane", slug="reed-lane", jurisdiction="EU")


@pytest.fixture
def keeper(studio):
    return make_person(studio, Role.KEEPER, "keeper")


@pytest.fixture
def teacher(studio):
    return make_person(studio, Role.TEACHER, "teacher")


@pytest.fixture
def member(studio):
    return make_person(studio, Role.MEMBER, "member")


@pytest.fixture
def student(studio):
    return make_person(studio, Role.STUDENT, "student")


@pytest.fixture
def other_studio(db):
    return Studio.objects.create(name="Mill Row", slug="mill-row")


@pytest.fixture
def stranger(other_studio):
    """A keeper, but of another studio."""
    return make_person(other_studio, Role.KEEPER, "stranger")


@pytest.fixture
def place(studio):
    return Place.objects.create(studio=studio, name="Oil shelf")


@pytest.fixture
def paint(studio):
    return Paint.objects.create(studio=studio, name="Ultramarine Blue", binder=Binder.OIL)


@pytest.fixture
def tube(studio, paint, place, keeper):
    """37 ml, sealed, on the oil shelf."""
    return services.receive(studio, paint, nominal_milli=37_000, unit="ml", by=keeper, place=place)[0]


@pytest.fixture
def pigments(kept_reference_tables, db):
    """The reference pigments and their optical rows."""
    kept_reference.bring_pigments()


@pytest.fixture
def reference(kept_reference_tables, db):
    """The reference tables of pigments, hazards, limits and statements."""
    kept_reference.bring_all()


@pytest.fixture(autouse=True)
def patient(monkeypatch):
    """Let a page finish its work however busy the machine is; the test of the progress page sets its own patience."""
    monkeypatch.setattr("inventory.views.wheel.PATIENCE", 300.0)

"""The API does what its own description says: any request that can be made of the description, and many that cannot."""

import os
import re
from datetime import date

import pytest
import schemathesis
from django.core.signals import request_finished, request_started
from django.db import close_old_connections
from hypothesis import HealthCheck, settings
from rest_framework.authtoken.models import Token
from rest_framework.throttling import SimpleRateThrottle
from schemathesis.checks import not_a_server_error
from schemathesis.core.parameters import ParameterLocation
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    ignored_auth,
    negative_data_rejection,
    response_headers_conformance,
    response_schema_conformance,
    status_code_conformance,
    unsupported_method,
)

from inventory.models import Material, Measurement
from inventory.services import buying, imports, levels
from safety.services import hang, make_notice, record_label_statement, record_sheet
from studio.wsgi import application

EXAMPLES = int(os.environ.get("API_EXAMPLES", "6"))
CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_schema_conformance,
    response_headers_conformance,
    negative_data_rejection,
    ignored_auth,
    unsupported_method,
]
# Left out: that what fits the description is accepted. A use of 5 ml fits it, and is refused where 3 ml are left.


schema = schemathesis.openapi.from_wsgi("/api/schema/", application)


def _closes(receiver):
    return receiver[0][0] == id(close_old_connections)


@pytest.fixture
def signed_in(keeper, monkeypatch):
    monkeypatch.setattr(SimpleRateThrottle, "THROTTLE_RATES", {"login": None, "user": None})
    # As the test client does: the transaction of the test goes on from request to request.
    for signal in (request_started, request_finished):
        monkeypatch.setattr(signal, "receivers", [one for one in signal.receivers if not _closes(one)])
        signal.sender_receivers_cache.clear()
    return {"Authorization": f"Token {Token.objects.create(user=keeper).key}"}


@pytest.fixture
def there(studio, tube, paint, place, keeper):
    """Rows for the parameters of the addresses, by the word before them."""
    levels.set_level(paint, by=keeper, level_tubes=2)
    material = Material.objects.create(studio=studio, name="Stand oil", material_kind="drying oil")
    batch = imports.begin_pasted(studio, by=keeper, text="Name,Pigments\nViridian,PG18\nHansa Yellow,PW97")
    notice = make_notice(paint, by=keeper, page_url="https://paints.example/")
    order = buying.draft(studio, supplier=buying.add_supplier(studio, name="Corner shop"), by=keeper)
    return {
        "s": studio.slug,
        "orders": order.pk,
        "paints": paint.pk,
        "items": paint.pk,
        "materials": material.pk,
        "places": place.pk,
        "tubes": tube.number,
        "entries": tube.entries.get().pk,
        "imports": batch.pk,
        "measurements": Measurement.objects.create(
            paint=paint, kind="masstone", text="30, 20, -40", lightness=30, a=20, b=-40, sd=0.5, by=keeper
        ).pk,
        "sheets": record_sheet(paint, by=keeper, product="Blue 12", read_on=date(2026, 3, 2)).pk,
        "label-words": record_label_statement(paint, by=keeper, text="Keep cool.", read_on=date(2026, 3, 2)).pk,
        "notices": notice.pk,
        "postings": hang(notice, by=keeper, where="desk").pk,
        "rows": 2,
    }


@schema.parametrize()
@settings(
    max_examples=EXAMPLES,
    deadline=None,
    derandomize=True,
    suppress_health_check=list(HealthCheck),
)
def test_every_operation_does_what_the_description_says(case, signed_in, there):
    # An address that leads nowhere tells little; what is no address at all stays as it was thought up.
    if not case.meta.is_negative_at(ParameterLocation.PATH):
        for word, name in re.findall(r"([\w-]+)/\{(\w+)\}", case.path):
            case.path_parameters[name] = there.get(word, case.path_parameters[name])
    case.call_and_validate(headers=signed_in, checks=CHECKS)

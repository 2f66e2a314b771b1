"""What went wrong, in the words that the page would use, and never as a traceback.

400 is always an object of sentences by field, `__all__` for what concerns no single field.
Every other refusal is `{"detail": sentence}`.
"""

import logging
from typing import Any

from django.core.exceptions import ValidationError as DjangoValidationError
from django.db import IntegrityError, OperationalError
from django.db.models import ProtectedError
from django.http import Http404
from rest_framework import exceptions, serializers, status, views
from rest_framework.response import Response

from studio.models import AppendOnlyError

log = logging.getLogger(__name__)
NOTHING_HERE = "There is nothing here that you may see: check the address and its number."


class Conflict(exceptions.APIException):
    """The request is sound, but what is there already does not let it through."""

    status_code = status.HTTP_409_CONFLICT
    default_code = "conflict"


class Busy(exceptions.APIException):
    status_code = status.HTTP_503_SERVICE_UNAVAILABLE
    default_detail = "The database is busy or out of reach, and nothing was written: try again in a moment."
    default_code = "busy"
    wait = 5


def exception_handler(error: Exception, context: dict[str, Any]) -> Response | None:
    """Answer as the form would show it; what nobody foresaw is left to Django, which logs it."""
    return views.exception_handler(_as_api_error(error), context)


def _as_api_error(error: Exception) -> Exception:
    match error:
        case DjangoValidationError():
            return serializers.ValidationError(serializers.as_serializer_error(error))
        case exceptions.ParseError():
            return serializers.ValidationError({"__all__": [f"The request cannot be read. {error.detail}"]})
        case exceptions.ValidationError() if isinstance(error.detail, list):
            return serializers.ValidationError({"__all__": error.detail})
        case Http404():
            return exceptions.NotFound(NOTHING_HERE)
        case AppendOnlyError():
            return Conflict(str(error))
        case ProtectedError():
            return Conflict("Other records point at this one, so it stays: archive it, or remove those first.")
        case IntegrityError():
            log.warning("A constraint refused what the checks had let pass", exc_info=error)
            return Conflict("Somebody else changed this at the same moment, and nothing was written: look again.")
        case OperationalError():
            log.error("The database did not answer", exc_info=error)
            return Busy()
    return error

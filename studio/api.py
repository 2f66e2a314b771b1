"""What every API view shares: errors in the page's words."""

from typing import Any

from django.core.exceptions import ValidationError as DjangoValidationError
from rest_framework import serializers, views
from rest_framework.response import Response


def exception_handler(error: Exception, context: dict[str, Any]) -> Response | None:
    """Answer a model's or a service's ValidationError as the form would show it, with status 400."""
    if isinstance(error, DjangoValidationError):
        error = serializers.ValidationError(serializers.as_serializer_error(error))
    return views.exception_handler(error, context)

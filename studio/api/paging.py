"""Long lists by keyset: a page begins where the last one ended, however deep it lies and whatever came between."""

from base64 import b64decode
from typing import Any

from django.core.exceptions import ValidationError as DjangoValidationError
from rest_framework.exceptions import NotFound, ValidationError
from rest_framework.pagination import CursorPagination
from rest_framework.request import Request

WRONG_CURSOR = "This cursor is none of ours or was cut short: start again without it."


class Keyset(CursorPagination):
    """`ordering` begins with a field that is unique or nearly so, such as a name."""

    page_size = 50
    max_page_size = 200
    page_size_query_param = "page_size"
    page_size_query_description = "How many rows a page holds."
    cursor_query_description = "Where the page begins: take it from `next` or `previous` of another page."

    def __init__(self, ordering: tuple[str, ...]) -> None:
        self.ordering = ordering

    def paginate_queryset(self, queryset: Any, request: Request, view: Any = None) -> list[Any] | None:
        try:
            return super().paginate_queryset(queryset, request, view)
        except (ValueError, DjangoValidationError) as error:  # a cursor that somebody made up, of another type
            raise ValidationError({"cursor": [WRONG_CURSOR]}) from error

    def decode_cursor(self, request: Request) -> Any:
        encoded = request.query_params.get(self.cursor_query_param)
        try:
            # The library's own decoder passes over what is not of its alphabet.
            if encoded is not None and not b64decode(encoded, validate=True):
                raise ValueError(encoded)
            cursor = super().decode_cursor(request)
            if cursor is not None and "\x00" in str(cursor.position):  # PostgreSQL would not look for it
                raise ValueError(encoded)
            return cursor
        except (ValueError, NotFound) as error:
            raise ValidationError({"cursor": [WRONG_CURSOR]}) from error

    def get_page_size(self, request: Request) -> int | None:
        text = request.query_params.get(self.page_size_query_param)
        if text is None:
            return self.page_size
        if not (text.isascii() and text.isdigit() and len(text) < 5 and 1 <= int(text) <= self.max_page_size):
            raise ValidationError(
                {"page_size": [f"“{text[:20]}” is not a whole number from 1 to {self.max_page_size}."]}
            )
        return int(text)

    def get_schema_operation_parameters(self, view: Any) -> list[dict[str, Any]]:
        return [
            {
                "name": self.cursor_query_param,
                "in": "query",
                "description": self.cursor_query_description,
                "schema": {"type": "string"},
            },
            {
                "name": self.page_size_query_param,
                "in": "query",
                "description": self.page_size_query_description,
                "schema": {"type": "integer", "minimum": 1, "maximum": self.max_page_size, "default": self.page_size},
            },
        ]

    def get_paginated_response_schema(self, schema: dict[str, Any]) -> dict[str, Any]:
        link = {"type": "string", "format": "uri", "nullable": True}
        return {
            "type": "object",
            "required": ["next", "previous", "results"],
            "properties": {"next": link, "previous": link, "results": schema},
        }

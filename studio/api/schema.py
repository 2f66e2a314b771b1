"""The OpenAPI description, with the refusals that every operation shares."""

from typing import Any

from drf_spectacular.openapi import AutoSchema
from drf_spectacular.plumbing import ResolvedComponent, build_parameter_type, is_list_serializer
from drf_spectacular.utils import Direction
from rest_framework.permissions import AllowAny

from studio.api.inputs import KEY_PATTERN, Input, KeyedInput
from studio.models import Role

WRITES = {"POST", "PUT", "PATCH", "DELETE"}
PROBLEMS = "Problems"
REFUSAL = "Refusal"
WORDS = {
    "400": "A value is wrong; each sentence stands under its field and says what to enter.",
    "401": "Nobody is signed in, or the token is not valid.",
    "403": "Your role in this studio does not allow it; the sentence says which role does.",
    "404": "There is no such thing in a studio of yours.",
    "409": "What is there already does not let it through; nothing was written.",
    "415": "The body is of a type that is not read here.",
    "429": "Too many requests; Retry-After says how many seconds to wait.",
}


class Schema(AutoSchema):
    """Reads `input_class` of a view as what is sent and its serializer class as what comes back."""

    def _get_paginator(self) -> Any:
        return self.view.paginator if hasattr(self.view, "rows") else None  # type: ignore[attr-defined]

    def _is_create_operation(self) -> bool:
        """What a POST answers otherwise is said where it does."""
        return bool(self.method == "POST")

    def _is_list_view(self, serializer: Any = None) -> bool:
        return (self.method == "GET" and hasattr(self.view, "rows")) or is_list_serializer(serializer)

    def get_tags(self) -> list[str]:
        return [getattr(self.view, "tag", "studio")]

    def get_request_serializer(self) -> Any:
        return getattr(self.view, "input_class", None)

    def _get_parameters(self) -> list[dict[str, Any]]:
        parameters = super()._get_parameters()
        input_class = getattr(self.view, "input_class", None)
        if self.method == "POST" and input_class is not None and issubclass(input_class, KeyedInput):
            parameters.append(
                build_parameter_type(
                    name="Idempotency-Key",
                    schema={"type": "string", "pattern": KEY_PATTERN},
                    location="header",
                    description="The same as the field `key`; send one of them.",
                )
            )
        return parameters

    def _get_response_bodies(self, direction: Direction = "response") -> dict[str, Any]:
        bodies: dict[str, Any] = super()._get_response_bodies(direction)
        for code in self._refusals():
            bodies.setdefault(code, self._refusal(code))
        return dict(sorted(bodies.items()))

    def _refusals(self) -> list[str]:
        is_open = any(isinstance(one, AllowAny) for one in self.view.get_permissions())
        writes = self.method in WRITES
        codes = {
            "400": writes or bool(getattr(self.view, "known_parameters", list)()),
            "401": not is_open,
            "403": not is_open and (writes or getattr(self.view, "reads", Role.STUDENT) != Role.STUDENT),
            "404": "{" in self.path,
            "409": writes and not is_open,
            "415": self.method in WRITES - {"DELETE"} and self._has_body(),
            "429": bool(self.view.throttle_classes),
        }
        return [code for code, applies in codes.items() if applies]

    def _has_body(self) -> bool:
        return self._get_request_body() is not None  # type: ignore[no-untyped-call]  # the library leaves it untyped

    def _refusal(self, code: str) -> dict[str, Any]:
        name = PROBLEMS if code == "400" else REFUSAL
        component = ResolvedComponent(  # type: ignore[no-untyped-call]  # the library leaves it untyped
            name=name, type=ResolvedComponent.SCHEMA, object=name, schema=_COMPONENTS[name]
        )
        self.registry.register_on_missing(component)
        content = {"application/json": {"schema": component.ref}}
        return {"content": content, "description": WORDS[code]}

    def _map_basic_serializer(self, serializer: Any, direction: Direction) -> dict[str, Any]:
        schema: dict[str, Any] = super()._map_basic_serializer(serializer, direction)  # type: ignore[no-untyped-call]
        if direction == "request" and isinstance(serializer, Input):
            schema["additionalProperties"] = False
        return schema


_COMPONENTS: dict[str, dict[str, Any]] = {
    PROBLEMS: {
        "type": "object",
        "description": "Sentences by field; `__all__` holds what concerns no single field.",
        "additionalProperties": {
            "oneOf": [
                {"type": "array", "items": {"type": "string"}},
                {"type": "object", "additionalProperties": {}},
            ]
        },
        "example": {"amount": ["Enter an amount above 0, not 0 ml."]},
    },
    REFUSAL: {
        "type": "object",
        "properties": {"detail": {"type": "string"}},
        "required": ["detail"],
        "additionalProperties": False,
    },
}

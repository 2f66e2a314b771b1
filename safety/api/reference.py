"""Reference tables of hazards, the same for every studio."""

from typing import Any

from django.db.models import QuerySet
from rest_framework import serializers

from safety.models import HazardFact, Limit, Statement
from studio.api.views import Pages

TAG = "reference of hazards"


class StatementSerializer(serializers.ModelSerializer[Statement]):
    """An H, EUH or P phrase in the standard's words."""

    class Meta:
        model = Statement
        exclude = ("id",)


class HazardSerializer(serializers.ModelSerializer[HazardFact]):
    """What one regime says about one substance. No H code means that none is published there, never "no hazard"."""

    class Meta:
        model = HazardFact
        exclude = ("id",)


class LimitSerializer(serializers.ModelSerializer[Limit]):
    """A figure or rule with whose it is and where it stands."""

    class Meta:
        model = Limit
        exclude = ("id",)


class ReferencePages(Pages):
    tag = TAG
    ordering = ("pk",)

    def rows(self) -> "QuerySet[Any]":
        return self.model._default_manager.all()


class Statements(ReferencePages):
    """The H, EUH and P phrases, the same for every studio."""

    model = Statement
    serializer_class = StatementSerializer


class Hazards(ReferencePages):
    """Published classifications of substances, each under the name of its regime."""

    model = HazardFact
    serializer_class = HazardSerializer


class Limits(ReferencePages):
    """Limits and rules that a notice may cite."""

    model = Limit
    serializer_class = LimitSerializer

"""What the first page asks about, for programs."""

from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from studio.api.views import StudioView
from studio.attention import Attention, collect
from studio.home import SOURCES


class AttentionSerializer(serializers.Serializer[Attention]):
    """One sentence that needs an answer; harm stands above what is short, unknown or advice."""

    urgency = serializers.SerializerMethodField()
    sentence = serializers.CharField()
    action = serializers.CharField(help_text="What to do; empty where your role may not do it.")
    page = serializers.CharField(source="url", help_text="The page where it is done; empty with the action.")

    @extend_schema_field(serializers.ChoiceField(choices=["harm", "short", "unknown", "advice"]))
    def get_urgency(self, one: Attention) -> str:
        return one.urgency.name.lower()


class AttentionView(StudioView):
    """What needs an answer today, most urgent first."""

    serializer_class = AttentionSerializer

    @extend_schema(operation_id="attention", responses=AttentionSerializer(many=True))
    def get(self, request: Request, studio: str) -> Response:
        return Response(self.get_serializer(collect(self.membership, SOURCES), many=True).data)

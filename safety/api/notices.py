"""Notices: how everything in stock stands, and making what is missing or out of date."""

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.api.references import ItemNameSerializer
from safety import services
from safety.api.papers import ChangedSerializer, NoticeSerializer, PostingSerializer
from safety.api.subjects import SafetyView
from safety.queries import notices as rows


class OutdatedSerializer(serializers.Serializer[rows.Outdated]):
    """A notice that no longer says what is known, with what changed line by line."""

    notice = NoticeSerializer()
    postings = PostingSerializer(many=True)
    says = serializers.ListField(source="changed.gone", child=serializers.CharField())
    known_now = serializers.ListField(source="changed.new", child=serializers.CharField())
    changes = ChangedSerializer(
        source="changed.lines", many=True, help_text="The same, each line beside the one that stands in its place now."
    )


class StandingSerializer(serializers.Serializer[rows.Standing]):
    """How one paint or material stands."""

    item = ItemNameSerializer()
    state = serializers.ChoiceField(choices=[(one.value, one.value) for one in rows.State])
    latest = NoticeSerializer(allow_null=True)
    hanging = PostingSerializer(many=True)
    outdated = OutdatedSerializer(many=True)


class ItemNotices(SafetyView):
    """The notices of one paint or material, newest first."""

    serializer_class = NoticeSerializer

    @extend_schema(operation_id="item_notices", responses=NoticeSerializer(many=True))
    def get(self, request: Request, studio: str, pk: int) -> Response:
        return Response(self.get_serializer(rows.notices_of(self.item(pk)), many=True).data)

    @extend_schema(operation_id="notice_make", request=None, responses={200: NoticeSerializer})
    def post(self, request: Request, studio: str, pk: int) -> Response:
        """Make a notice from what is known now; where the newest says the same, that one is the answer."""
        item = self.item(pk)
        return self.answer(services.make_notice(item, by=self.person, page_url=self.page_url(item)))


class Notices(SafetyView):
    """How everything in stock stands: out of date, without a notice, or as known now."""

    serializer_class = StandingSerializer

    @extend_schema(operation_id="notices", responses=StandingSerializer(many=True))
    def get(self, request: Request, studio: str) -> Response:
        return Response(self.get_serializer(rows.standings(self.studio), many=True).data)

    @extend_schema(operation_id="notices_make", request=None, responses={200: NoticeSerializer(many=True)})
    def post(self, request: Request, studio: str) -> Response:
        """Make every notice that is missing or out of date; the answer has those that were made."""
        made = services.make_notices(self.studio, by=self.person, page_url=self.page_url)
        return Response(NoticeSerializer(made, many=True, context=self.get_serializer_context()).data)

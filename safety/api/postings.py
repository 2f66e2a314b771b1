"""What hangs where."""

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.models import Room
from safety import services
from safety.api.papers import ChangedSerializer, HangingNoticeSerializer
from safety.api.subjects import SafetyView
from safety.queries import papers
from safety.queries.postings import Hanging, hanging, subject_of
from studio.api.inputs import Input, Text


class HangingSerializer(serializers.Serializer[Hanging]):
    """One paper that hangs, and whether it still says what is known."""

    posting = HangingNoticeSerializer()
    out_of_date = serializers.BooleanField()
    gone = serializers.CharField(allow_blank=True, help_text="Why it is about nothing that is still here.")
    fingerprint = serializers.CharField(help_text="The mark of a paper made now.", allow_blank=True)
    says = serializers.ListField(source="changed.gone", child=serializers.CharField())
    known_now = serializers.ListField(source="changed.new", child=serializers.CharField())
    changes = ChangedSerializer(
        source="changed.lines", many=True, help_text="The same, each line beside the one that stands in its place now."
    )


class HangInput(Input):
    where = Text(max_length=120, required=False, allow_blank=True)
    room = serializers.IntegerField(required=False, allow_null=True, min_value=1, help_text="The id of a room.")


class ReplaceInput(Input):
    fingerprint = Text(max_length=14, help_text="The mark on the paper that hangs now.")


class HangNotice(SafetyView):
    """Say where a paper hangs; an older one about the same thing at that very place comes down."""

    serializer_class = HangingNoticeSerializer
    input_class = HangInput

    @extend_schema(operation_id="notice_hang", responses={200: HangingNoticeSerializer})
    def post(self, request: Request, studio: str, pk: int) -> Response:
        notice, asked = self.notice(pk), self.read()
        rooms = Room.objects.filter(studio=self.studio, removed_at=None)
        room = rooms.filter(pk=asked["room"]).first() if asked.get("room") else None
        if asked.get("room") and room is None:
            raise ValidationError({"room": [f"There is no room {asked['room']} in use here."]})
        return self.answer(services.hang(notice, by=self.person, where=asked.get("where", ""), room=room))


class Postings(SafetyView):
    """What hangs where, room by room, with what changed since each paper was made."""

    serializer_class = HangingSerializer

    @extend_schema(operation_id="postings", responses=HangingSerializer(many=True))
    def get(self, request: Request, studio: str) -> Response:
        return Response(self.get_serializer(hanging(self.studio), many=True).data)


class ReplacePosting(SafetyView):
    """Say that a paper made now hangs where an older one hung; 400 with the name of whoever was first."""

    serializer_class = HangingNoticeSerializer
    input_class = ReplaceInput

    @extend_schema(operation_id="posting_replace", responses={200: HangingNoticeSerializer})
    def post(self, request: Request, studio: str, pk: int) -> Response:
        posting = self.posting(pk)
        about = subject_of(posting.notice)
        if posting.notice.item:
            url = self.page_url(posting.notice.item)
        else:
            url = self.request.build_absolute_uri(papers.subject_url(self.studio, about.kind, about.pk))
        return self.answer(services.replace(posting, by=self.person, page_url=url, **self.read()))


class TakeDownPosting(SafetyView):
    """Say that a paper hangs no more at its place."""

    serializer_class = HangingNoticeSerializer

    @extend_schema(operation_id="posting_take_down", request=None, responses={200: HangingNoticeSerializer})
    def post(self, request: Request, studio: str, pk: int) -> Response:
        return self.answer(services.take_down(self.posting(pk), by=self.person))

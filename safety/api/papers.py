"""A paper as it was made, and where it hangs."""

from django.urls import reverse
from rest_framework import serializers

from inventory.api.references import ItemNameSerializer
from safety.models import Notice, Posting
from safety.rules.changes import Changed


class ChangedSerializer(serializers.Serializer[Changed]):
    """One line of a paper as it says it and as it is known now; one of the two is empty where nothing stands there."""

    was = serializers.CharField(source="was_whole", allow_blank=True)
    now = serializers.CharField(source="now_whole", allow_blank=True)


class PostingSerializer(serializers.ModelSerializer[Posting]):
    """One paper at one place; `taken_down_at` is null while it hangs."""

    room = serializers.CharField(allow_null=True)
    place = serializers.CharField(help_text="Room and place in words.")
    hung_by = serializers.CharField()
    taken_down_by = serializers.CharField(allow_null=True)

    class Meta:
        model = Posting
        fields = ("id", "room", "where", "place", "hung_at", "hung_by", "taken_down_at", "taken_down_by")


class NoticeSerializer(serializers.ModelSerializer[Notice]):
    """A paper as it was made."""

    item = ItemNameSerializer(allow_null=True, help_text="For a notice of one paint or material.")
    made_by = serializers.CharField()
    about = serializers.SerializerMethodField(help_text="The name of the paint, room or palette.")
    pdf = serializers.SerializerMethodField()

    class Meta:
        model = Notice
        fields = ("id", "kind", "item", "about", "fingerprint", "made_at", "made_by", "pdf")

    def get_about(self, notice: Notice) -> str:
        return str(notice.subject)

    def get_pdf(self, notice: Notice) -> str:
        return reverse("api_notice_pdf", args=[self.context["view"].studio.slug, notice.pk])


class HangingNoticeSerializer(PostingSerializer):
    """A posting with the paper that hangs."""

    notice = NoticeSerializer()

    class Meta:
        model = Posting
        fields = (*PostingSerializer.Meta.fields, "notice")

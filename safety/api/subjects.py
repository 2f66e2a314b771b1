"""What every address of the safety record finds first, and what several of them are given."""

from typing import Any

from django.urls import reverse
from rest_framework import serializers

from inventory.models import Item
from safety.models import Notice, Posting, SignalWord
from safety.queries import facts as known
from safety.rules.classify import SIGNS
from studio.api.inputs import Choice, Input, Text
from studio.api.views import StudioView
from studio.models import Role

TAG = "safety"


class SafetyView(StudioView):
    tag = TAG
    writes = Role.TEACHER

    def item(self, pk: int) -> Item:
        found: Item = self.one(known.items(self.studio), pk=pk)
        return found

    def notice(self, pk: int) -> Notice:
        about = Notice.objects.of(self.studio).select_related("item", "room", "palette", "studio")
        found: Notice = self.one(about, pk=pk)
        return found

    def posting(self, pk: int) -> Posting:
        found: Posting = self.one(Posting.objects.of(self.studio).select_related("notice", "studio"), pk=pk)
        return found

    def page_url(self, item: Item) -> str:
        """Where the code on a notice leads: the page, not the API."""
        return self.request.build_absolute_uri(reverse("safety:item", args=[self.studio.slug, item.pk]))


class StatedSerializer(serializers.ModelSerializer[Any]):
    """What a sheet and a label have in common, as they print it."""

    h_codes = serializers.ListField(source="h_code_list", child=serializers.CharField())
    p_codes = serializers.ListField(source="p_code_list", child=serializers.CharField())
    pictograms = serializers.ListField(source="signs", child=serializers.CharField())
    signal_word = serializers.CharField(allow_blank=True, help_text="Empty: none printed.")
    by = serializers.CharField()
    withdrawn_by = serializers.CharField(allow_null=True)


class StatedInput(Input):
    read_on = serializers.DateField(help_text="The day on which it was read.")
    signal_word = Choice(choices=SignalWord.choices, required=False, allow_blank=True)
    h_codes = Text(required=False, allow_blank=True, max_length=2000, help_text="H and EUH as printed; ';' between.")
    p_codes = Text(required=False, allow_blank=True, max_length=2000, help_text="P as printed; ';' between.")
    pictograms = serializers.ListField(child=Choice(choices=SIGNS), required=False, max_length=len(SIGNS))
    notes = Text(required=False, allow_blank=True, max_length=10_000)


class WithdrawInput(Input):
    why = Text(max_length=200)

"""What happens to a tube: each deed is one request and one entry, and another entry puts a wrong one right."""

from typing import Any, ClassVar

from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from inventory import services
from inventory.api.amounts import AmountInput, HappenedAt, NoteText
from inventory.api.entries import EntrySerializer
from inventory.api.references import PersonField, PlaceField
from inventory.api.tubes import TubeSerializer
from inventory.models import Condition, Entry, EntryKind, OwnerKind, Tube
from inventory.queries import shelf
from inventory.queries.tubes import entries
from inventory.services.ledger import refuse
from studio import access
from studio.api.inputs import Choice, Flag, KeyedInput, Text
from studio.api.views import StudioView
from studio.models import Role

TAG = "what happens to a tube"


class WrittenSerializer(serializers.Serializer):
    """The entry that was written and the tube as it is now."""

    entry = EntrySerializer()
    tube = TubeSerializer()


class DeedInput(KeyedInput):
    note = NoteText()
    at = HappenedAt(required=False)


class Deed(StudioView):
    """What happens to a tube: reads the request, has the service write one entry, shows both."""

    tag = TAG
    serializer_class = WrittenSerializer
    input_class: ClassVar[type[KeyedInput]] = DeedInput

    def post(self, request: Request, studio: str, number: int) -> Response:
        tube = self.one(Tube.objects.of(self.studio).select_related("item", "studio"), number=number)
        given = {GIVEN.get(name, name): value for name, value in self.read(unit=tube.unit).items()}
        return written(self, self.write(tube, **given, by=self.person))

    write: ClassVar[Any]


# The service says of amounts in which unit they are counted.
GIVEN = {"amount": "amount_milli", "left": "left_milli", "gross": "gross_milli_g", "tare": "tare_milli_g"}


def written(view: StudioView, entry: Entry) -> Response:
    shown = {
        "entry": entries(view.studio).get(pk=entry.pk),
        "tube": shelf.tubes(view.studio).get(pk=entry.tube_id),
    }
    return Response(WrittenSerializer(shown, context=view.get_serializer_context()).data, status=201)


class UsedInput(DeedInput):
    amount = AmountInput(label="Amount used")


class Used(Deed):
    """Take an amount out."""

    input_class = UsedInput
    write = staticmethod(services.record_use)


class WeighedInput(DeedInput):
    gross = AmountInput(label="The scale shows", unit="g", help_text="In grams, with the container and its cap.")
    tare = AmountInput(
        label="Weight of the empty container", unit="g", required=False, help_text="In grams; kept for the next time."
    )


class Weighed(Deed):
    """Put it on the scale. Grams become ml only where a density is known."""

    input_class = WeighedInput
    write = staticmethod(services.weigh)


class LeftInput(DeedInput):
    left = AmountInput(label="What is left")
    is_estimate = Flag(default=True)


class Left(Deed):
    """Say what is left, as somebody sees it."""

    input_class = LeftInput
    write = staticmethod(services.estimate_left)


class MovedInput(DeedInput):
    place = PlaceField()


class Moved(Deed):
    """Stand it somewhere else."""

    input_class = MovedInput
    write = staticmethod(services.move)


class Finished(Deed):
    """It is used up: what the ledger still held is written as used."""

    write = staticmethod(services.finish)


class Discarded(Deed):
    """The rest was thrown away."""

    write = staticmethod(services.discard)


class LentInput(KeyedInput):
    to = Text(max_length=120, help_text="Who takes it along.")


class Lent(Deed):
    """Somebody takes it along; it stays in the studio's books."""

    input_class = LentInput
    write = staticmethod(services.lend)


class ReturnedInput(KeyedInput):
    note = NoteText()


class Returned(Deed):
    """It is back."""

    input_class = ReturnedInput
    write = staticmethod(services.return_loan)


class ExaminedInput(DeedInput):
    condition = Choice(choices=Condition.choices, help_text="“other” wants a note that says why it cannot be used.")


class Examined(Deed):
    """Somebody looked at what is in it: whether it can still be used. The amount stays as it is."""

    input_class = ExaminedInput
    write = staticmethod(services.examine)


class OwnerInput(DeedInput):
    owner_kind = Choice(choices=OwnerKind.choices)
    owner = PersonField(required=False, help_text="For a member's own: the id of the person.")
    owner_class = Text(max_length=80, default="", allow_blank=True, help_text="For a class's own: its name.")


class Given(Deed):
    """It belongs to somebody else from now on; it stays where it stands. A keeper writes that down."""

    writes = Role.KEEPER
    input_class = OwnerInput
    write = staticmethod(services.give)


class SharedInput(DeedInput):
    shared = Flag(help_text="true: it counts for the studio's orders and wheel too; false: for its owner alone.")


class Shared(Deed):
    """Its owner, or a keeper, lets it count for the studio, or takes that back."""

    input_class = SharedInput

    def write(self, tube: Tube, **given: Any) -> Entry:
        if tube.owner_id != self.person.pk:
            access.require(self.membership, Role.KEEPER)
        return services.share(tube, **given)


DEEDS: dict[str, type[Deed]] = {
    "used": Used,
    "weighed": Weighed,
    "left": Left,
    "moved": Moved,
    "finished": Finished,
    "discarded": Discarded,
    "lent": Lent,
    "returned": Returned,
    "examined": Examined,
    "owner": Given,
    "shared": Shared,
}


class CorrectInput(KeyedInput):
    amount = AmountInput(label="The amount should have been", help_text="0 if it did not happen.")
    reason = Text(max_length=200, help_text="What was wrong, for the next reader.")


class EntryView(StudioView):
    tag = TAG
    serializer_class = WrittenSerializer

    def entry(self, pk: int) -> Entry:
        found: Entry = self.one(entries(self.studio), pk=pk)
        return found


class Correct(EntryView):
    """Say what an amount should have been. The entry stays as it was written; another one puts it right."""

    input_class = CorrectInput

    @extend_schema(
        operation_id="entry_correct",
        examples=[OpenApiExample("typed 20 for 2", {"amount": "2", "reason": "Typed 20 for 2."}, request_only=True)],
    )
    def post(self, request: Request, studio: str, pk: int) -> Response:
        entry = self.entry(pk)
        given = self.read(unit=entry.tube.unit)
        if entry.kind not in (EntryKind.USED, EntryKind.DISCARDED, EntryKind.RECEIVED):
            raise refuse("entry", f"“{entry.get_kind_display()}” has no amount of its own: undo it and do it again.")
        amount = given.pop("amount")
        change = -amount if entry.kind in (EntryKind.USED, EntryKind.DISCARDED) else amount
        return written(self, services.correct(entry, change_milli=change, **given, by=self.person))


class Undo(EntryView):
    """Take an entry back by another one. Sent twice it takes back once."""

    input_class = KeyedInput

    @extend_schema(operation_id="entry_undo")
    def post(self, request: Request, studio: str, pk: int) -> Response:
        entry = self.entry(pk)
        if entry.is_left_to_keepers(self.person):
            access.require(self.membership, Role.KEEPER)
        key = self.read().get("key", f"undo-{entry.pk}")
        return written(self, services.undo(entry, by=self.person, key=key))

"""Whatever several people do to a few tubes, in whatever order, the books stay right."""

from datetime import timedelta

import pytest
from django.contrib.auth.hashers import make_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from hypothesis import HealthCheck, event, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    Bundle,
    RuleBasedStateMachine,
    initialize,
    invariant,
    multiple,
    precondition,
    rule,
    run_state_machine_as_test,
)

from inventory import services
from inventory.models import Binder, Condition, CountLine, Entry, EntryKind, Paint, Place, Stocktake, Tube, TubeState
from inventory.services import stocktakes
from inventory.services.ledger import loan_of
from inventory.services.stocktakes import Found
from studio.models import Membership, Role, Studio, User

pytestmark = pytest.mark.django_db

amounts = st.one_of(st.integers(1, 6_000), st.integers(1, 6_000), st.integers(-1_000, 60_000))
keys = st.sampled_from([None] * 6 + ["tap-1", "tap-2", "tap-3"])
LINE = (
    "tube_id", "kind", "change_milli", "state_before", "state_after", "place_before_id", "place_after_id", "by_id",
    "condition_before", "condition_after", "note", "at", "written_at", "key", "gross_milli_g", "corrects_id",
    "facts",
)  # fmt: skip


class PeopleAtAShelf(RuleBasedStateMachine):
    """Each rule is one tap; a refusal is an answer too, and must leave everything as it was."""

    tubes = Bundle("tubes")

    @initialize(target=tubes, density=st.sampled_from([None, 1_000, 1_500]), is_estimate=st.booleans())
    def open_the_studio(self, density, is_estimate):
        self.point = transaction.atomic()
        self.point.__enter__()
        self.studio = Studio.objects.create(name="Reed Lane", slug="reed-lane")
        self.people = [User.objects.create(username=name, password=make_password(None)) for name in "abc"]
        for person in self.people:
            Membership.objects.create(studio=self.studio, user=person, role=Role.MEMBER)
        self.places = [Place.objects.create(studio=self.studio, name=name) for name in ("Oil shelf", "Sink shelf")]
        self.paint = Paint.objects.create(
            studio=self.studio,
            name="Zinc White",
            binder=Binder.OIL,
            density_milli=density,
            density_is_estimate=is_estimate,
        )
        self.lines, self.seen_of = {}, {}
        # Without tubes nothing can happen but empty counts.
        sizes = (
            ("ml", 37_000, TubeState.SEALED, None),
            ("g", 50_000, TubeState.OPEN, 20_000),
            ("ml", 50_000, TubeState.OPEN, None),
        )
        tubes = [
            services.receive(
                self.studio, self.paint, nominal_milli=size, unit=unit, state=state, left_milli=left,
                by=self.people[0], place=self.places[0],
            )[0].pk
            for unit, size, state, left in sizes
        ]  # fmt: skip
        services.give(Tube.objects.get(pk=tubes[-1]), owner_kind="member", owner=self.people[1], by=self.people[0])
        return multiple(*tubes)

    def teardown(self):
        if hasattr(self, "point"):
            transaction.set_rollback(True)
            self.point.__exit__(None, None, None)

    def tap(self, name, service, *args, **kwargs):
        """Call the service; what it refuses changes nothing."""
        before = self.shelf()
        try:
            done = service(*args, **kwargs)
        except ValidationError as error:
            refused = error.message_dict
        else:
            event(f"{name} done")
            return done
        event(f"{name} refused: {', '.join(refused)}")
        assert all(message for messages in refused.values() for message in messages)
        assert self.shelf() == before
        return None

    def shelf(self):
        return list(Tube.objects.order_by("pk").values()), Entry.objects.count()

    @rule(
        target=tubes,
        person=st.integers(0, 2),
        size=st.sampled_from([37_000, 50_000, 0]),
        left=st.one_of(st.none(), st.none(), amounts),
        unit=st.sampled_from(["ml", "g"]),
        state=st.sampled_from([TubeState.SEALED, TubeState.OPEN, TubeState.OPEN, TubeState.EMPTY]),
        count=st.sampled_from([1, 1, 2, 0]),
        key=keys,
    )
    def receive(self, person, size, left, unit, state, count, key):
        arguments = {"nominal_milli": size, "unit": unit, "state": state, "left_milli": left, "count": count}
        by = self.people[person]
        place = self.places[0]
        received = self.tap(
            "receive", services.receive, self.studio, self.paint, by=by, place=place, key=key, **arguments
        )
        return multiple(*(tube.pk for tube in received or []))

    @rule(tube=tubes, person=st.integers(0, 2), amount=amounts, key=keys)
    def record_use(self, tube, person, amount, key):
        self.tap("use", services.record_use, self.seen(tube), amount_milli=amount, by=self.people[person], key=key)

    @rule(tube=tubes, person=st.integers(0, 2), gross=amounts, tare=st.one_of(st.none(), amounts), key=keys)
    def weigh(self, tube, person, gross, tare, key):
        arguments = {"gross_milli_g": gross, "tare_milli_g": tare, "key": key}
        self.tap("weigh", services.weigh, self.seen(tube), by=self.people[person], **arguments)

    @rule(tube=tubes, person=st.integers(0, 2), left=amounts, is_estimate=st.booleans(), key=keys)
    def estimate_left(self, tube, person, left, is_estimate, key):
        arguments = {"left_milli": left, "is_estimate": is_estimate, "key": key}
        self.tap("count", services.estimate_left, self.seen(tube), by=self.people[person], **arguments)

    @rule(tube=tubes, person=st.integers(0, 2), place=st.integers(0, 1), key=keys)
    def move(self, tube, person, place, key):
        arguments = {"place": self.places[place], "key": key}
        self.tap("move", services.move, self.seen(tube), by=self.people[person], **arguments)

    @rule(tube=tubes, person=st.integers(0, 2), thrown_away=st.booleans(), key=keys)
    def empty(self, tube, person, thrown_away, key):
        service = services.discard if thrown_away else services.finish
        self.tap("empty", service, self.seen(tube), by=self.people[person], key=key)

    @rule(tube=tubes, person=st.integers(0, 2), condition=st.sampled_from([*Condition.values, "boiled"]), key=keys)
    def examine(self, tube, person, condition, key):
        arguments = {"condition": condition, "note": "Smells.", "key": key}
        self.tap("examine", services.examine, self.seen(tube), by=self.people[person], **arguments)

    @rule(tube=tubes, person=st.integers(0, 2), to=st.sampled_from(["Ines", "Ines", "Ines", " "]), key=keys)
    def lend(self, tube, person, to, key):
        self.tap("lend", services.lend, self.seen(tube), to=to, by=self.people[person], key=key)

    @rule(tube=tubes, person=st.integers(0, 2), key=keys)
    def return_loan(self, tube, person, key):
        self.tap("return", services.return_loan, self.seen(tube), by=self.people[person], key=key)

    @rule(tube=tubes, person=st.integers(0, 2), owner=st.one_of(st.none(), st.integers(0, 2)), key=keys)
    def give(self, tube, person, owner, key):
        whose = {"owner_kind": "studio"} if owner is None else {"owner_kind": "member", "owner": self.people[owner]}
        self.tap("give", services.give, self.seen(tube), by=self.people[person], key=key, **whose)

    @rule(tube=tubes, person=st.integers(0, 2), shared=st.booleans(), key=keys)
    def share(self, tube, person, shared, key):
        self.tap("share", services.share, self.seen(tube), shared=shared, by=self.people[person], key=key)

    @rule(tube=tubes, person=st.integers(0, 2), net=amounts, with_estimates=st.booleans(), key=keys)
    def weigh_left(self, tube, person, net, with_estimates, key):
        arguments = {"net_milli_g": net, "with_estimates": with_estimates, "key": key}
        self.tap("weigh left", services.weigh_left, self.seen(tube), by=self.people[person], **arguments)

    @rule(tube=tubes, person=st.integers(0, 2), minutes=st.integers(1, 100_000), amount=amounts)
    def use_by_a_clock_that_is_behind(self, tube, person, minutes, amount):
        at = timezone.now() - timedelta(minutes=minutes)
        self.tap("use", services.record_use, self.seen(tube), amount_milli=amount, by=self.people[person], at=at)

    @rule(
        tube=tubes,
        person=st.integers(0, 2),
        left=st.one_of(st.none(), amounts),
        state=st.sampled_from(["", "open", "sealed", "empty"]),
        condition=st.sampled_from(["", "usable", "dried"]),
        seen=st.booleans(),
    )
    def count_on_a_sheet(self, tube, person, left, state, condition, seen):
        found = Found(self.seen(tube), seen=seen, state=state, left_milli=left, condition=condition)
        by = self.people[person]
        stocktake = self.running(by)
        self.tap("sheet", stocktakes.count, stocktake, [found], by=by)

    @precondition(lambda self: CountLine.objects.filter(stocktake__posted_at=None).exists())
    @rule(person=st.integers(0, 2), missing=st.sampled_from(["leave", "lost"]))
    def post_the_count(self, person, missing):
        by = self.people[person]
        self.tap("post", stocktakes.post, self.running(by), by=by, reason="End of term", missing=missing)

    def running(self, by):
        here = self.places[0]
        found = Stocktake.objects.filter(place=here, posted_at=None).first()
        return found or stocktakes.start(self.studio, place=here, by=by)

    @rule(tube=tubes, person=st.integers(0, 2), back=st.integers(0, 5), left=amounts, key=keys)
    def correct_left(self, tube, person, back, left, key):
        arguments = {"left_milli": left, "reason": "Misread.", "key": key}
        self.tap(
            "correct left",
            services.correct_left,
            self.entry(tube, back, "counted", "weighed"),
            by=self.people[person],
            **arguments,
        )

    @rule(tube=tubes, person=st.integers(0, 2), back=st.integers(0, 5), gross=amounts, key=keys)
    def correct_weighing(self, tube, person, back, gross, key):
        arguments = {"gross_milli_g": gross, "reason": "Misread.", "key": key}
        entry = self.entry(tube, back, "weighed")
        self.tap("correct weighing", services.correct_weighing, entry, by=self.people[person], **arguments)

    @rule(tube=tubes, person=st.integers(0, 2), back=st.integers(0, 5), change=amounts, key=keys)
    def correct(self, tube, person, back, change, key):
        entry = self.entry(tube, back)
        arguments = {"change_milli": change, "reason": "Typed wrongly.", "key": key}
        self.tap("correct", services.correct, entry, by=self.people[person], **arguments)

    @rule(tube=tubes, person=st.integers(0, 2), back=st.integers(0, 5), key=keys)
    def undo(self, tube, person, back, key):
        self.tap("undo", services.undo, self.entry(tube, back), by=self.people[person], key=key)

    @rule(tube=tubes, person=st.integers(0, 2))
    def a_deed_undone_at_once_leaves_no_trace_on_the_tube(self, tube, person):
        before = Tube.objects.values().get(pk=tube)
        entry = self.tap("finish", services.finish, self.seen(tube), by=self.people[person])
        if entry is not None:
            services.undo(entry, by=self.people[person])
            assert Tube.objects.values().get(pk=tube) == before

    def seen(self, pk):
        """The tube as a page showed it some time ago: with an old balance, state and place."""
        tube = Tube.objects.get(pk=pk)
        tube.balance_milli, tube.state, tube.place_id = tube.nominal_milli, TubeState.SEALED, self.places[0].pk
        return tube

    def entry(self, tube, back, *kinds):
        """One of the latest, mostly of these kinds where there are any."""
        entries = list(Entry.objects.filter(tube=tube).order_by("-pk")[:12])
        of_kind = [entry for entry in entries if entry.kind in kinds and back]
        return (of_kind or entries)[: back + 1][-1]

    @invariant()
    def the_books_are_right(self):
        """One look at all tubes and entries, for it comes after every step."""
        if not hasattr(self, "people"):
            return
        tubes, entries = list(Tube.objects.order_by("pk")), list(Entry.objects.order_by("pk"))
        self.no_entry_is_lost_or_changed_and_each_has_its_author(entries)
        used = [entry.key for entry in entries if entry.key]
        assert len(used) == len(set(used)), "one key is one entry"
        for tube in tubes:
            own = [entry for entry in entries if entry.tube_id == tube.pk]
            self.the_balance_is_the_sum_of_the_entries_and_possible(tube, own)
            self.each_entry_begins_where_the_one_before_it_ended(tube, own)
            self.the_condition_and_the_owner_are_what_was_last_written(tube, own)
            if self.seen_of.get(tube.pk) != len(own):
                self.who_has_it_can_be_told(tube, own)
            self.seen_of[tube.pk] = len(own)

    def no_entry_is_lost_or_changed_and_each_has_its_author(self, entries):
        lines = {entry.pk: tuple(getattr(entry, name) for name in LINE) for entry in entries}
        for pk, line in self.lines.items():
            assert lines[pk] == line
        self.lines = lines
        assert {entry.by_id for entry in entries} <= {person.pk for person in self.people}

    def the_balance_is_the_sum_of_the_entries_and_possible(self, tube, own):
        assert 0 <= tube.balance_milli == sum(entry.change_milli for entry in own) <= tube.nominal_milli
        assert tube.balance_milli == 0 or tube.state != TubeState.EMPTY

    def each_entry_begins_where_the_one_before_it_ended(self, tube, own):
        assert own[0].kind == EntryKind.RECEIVED
        state, place = own[0].state_before, None
        for entry in own:
            assert (entry.state_before, entry.place_before_id) == (state, place)
            state, place = entry.state_after, entry.place_after_id
        assert (tube.state, tube.place_id) == (state, place)

    def the_condition_and_the_owner_are_what_was_last_written(self, tube, own):
        condition, owner, tare = Condition.USABLE, ["studio", None, "", False], None
        for entry in own:
            if entry.condition_after:
                assert entry.condition_before == condition
                condition = entry.condition_after
            if "owner" in (entry.facts or {}):
                assert entry.facts["owner"][0] == owner
                owner = entry.facts["owner"][1]
            if "tare" in (entry.facts or {}):
                assert entry.facts["tare"][0] == tare
                tare = entry.facts["tare"][1]
        assert (tube.condition, tube.tare_milli_g) == (condition, tare)
        assert [tube.owner_kind, tube.owner_id, tube.owner_class, tube.shared] == owner

    def who_has_it_can_be_told(self, tube, own):
        corrected = {entry.corrects_id for entry in own}
        taken = [entry.kind for entry in own if entry.kind in ("lent", "returned") and entry.pk not in corrected]
        assert (loan_of(tube) is not None) == (taken[-1:] == ["lent"])


def test_the_books_stay_right_whatever_people_do():
    run_state_machine_as_test(
        PeopleAtAShelf,
        settings=settings(
            max_examples=45, stateful_step_count=35, deadline=None, suppress_health_check=list(HealthCheck)
        ),
    )

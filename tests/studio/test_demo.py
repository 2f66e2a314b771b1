"""The demo studio can be founded, twice asked adds once, and its ledger is believable."""

from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.test import TestCase
from django.urls import reverse
from django.utils import timezone

from inventory.models import Entry, EntryKind, Material, Paint, PigmentsKnown, Tube
from inventory.queries.finding import latest_edits
from inventory.queries.lessons.checked import coming
from safety.queries.allowed import may_use
from safety.queries.notices import State, standings
from studio import demo, home
from studio.attention import collect
from studio.models import Membership, Role, Studio

pytestmark = pytest.mark.django_db


class TestTheDemo(TestCase):
    """It is founded once for all that look at it."""

    @classmethod
    def setUpTestData(cls):
        call_command("load_reference", stdout=StringIO())
        demo.load()

    def test_the_demo_studio_is_as_large_as_a_real_one_and_lived_through_a_year(self):
        shelf = Tube.objects.in_use().filter(studio__slug="quarry-lane")
        assert 45 <= shelf.count() <= 80
        binders = Paint.objects.filter(studio__slug="quarry-lane").values_list("binder", flat=True)
        assert set(binders) == {"oil", "acrylic"}
        assert Material.objects.filter(studio__slug="quarry-lane", material_kind="solvent").exists()
        assert Studio.objects.count() == 2
        roles = {member.role for member in Studio.objects.get(slug="quarry-lane").memberships.all()}
        assert roles == set(Role.values)

        times = list(Entry.objects.order_by("pk").values_list("at", flat=True))
        assert times == sorted(times)
        assert times[-1] <= timezone.now()
        assert timedelta(days=330) < times[-1] - times[0] < timedelta(days=400)
        kinds = set(Entry.objects.values_list("kind", flat=True))
        assert kinds >= {EntryKind.RECEIVED, EntryKind.USED, EntryKind.MOVED, EntryKind.WEIGHED, EntryKind.CORRECTED}
        call_command("audit_ledger")
        (edit,) = latest_edits(Studio.objects.get(slug="quarry-lane"))
        assert edit.words == "4 paints or materials: series set"

        states = set(Paint.objects.values_list("pigments_known", flat=True))
        assert states == set(PigmentsKnown.values), "it shows what doubts look like"

    def test_its_notices_show_every_state(self):
        found = standings(Studio.objects.get(slug="quarry-lane"))
        assert {one.state for one in found} == set(State)
        (outdated,) = [one for one in found if one.state is State.OUT_OF_DATE]
        assert [posting.place for posting in outdated.hanging] == ["Store room, Solvent cabinet, inside of the door"]
        assert "sheet: none on file" in outdated.outdated[0].changed.gone
        assert any(one.facts.sheet and one.facts.sheet.says_not_classified for one in found)
        assert any(one.facts.label for one in found)

    def test_the_first_page_offers_each_person_what_their_role_may_do(self):
        """What anybody may read is offered as a look; the rest takes the role that its address asks for."""
        looks = ("See", "Look at", "Open the order list")
        everyday = {"Say that it is mended", "Record an inspection"}
        teaching = everyday | {"Make the notices", "Answer the questions"}
        for name, deeds in (("pia", set()), ("wren", everyday), ("tomas", teaching), ("ines", teaching)):
            member = Membership.objects.select_related("studio").get(user__username=name, studio__slug="quarry-lane")
            self.client.force_login(member.user)
            offered = [one for one in collect(member, home.SOURCES) if one.action]
            done = {one.action for one in offered if not one.action.startswith(looks)}
            assert done & teaching == deeds, name
            assert name in ("tomas", "ines") or done == deeds
            page = self.client.get(reverse("today", args=["quarry-lane"])).content.decode()
            matters = page.partition('<ol class="sentences">')[2].partition("</ol>")[0]
            assert matters.count("<a ") == len(offered) > 0
            assert ("For a member to do." in matters) == (name == "pia")
            for one in offered:
                assert self.client.get(one.url).status_code in (200, 302), (name, one)

    def test_each_group_has_one_palette_of_six_and_its_lessons_set_that_out_whole(self):
        studio = Studio.objects.get(slug="quarry-lane")
        assert {palette.name: palette.paints.count() for palette in studio.palettes.all()} == {
            "Evening six": 6,
            "Saturday six": 6,
        }
        lessons = coming(studio)
        assert {row.lesson.palette.name for row in lessons} == {"Evening six", "Saturday six"}
        for row in lessons:
            assert len(row.set_out) == 6, row.lesson
            assert row.lesson.palette.group == row.lesson.group
            assert not row.without_amount

    def test_it_answers_what_a_class_of_nine_year_olds_may_use(self):
        studio = Studio.objects.get(slug="quarry-lane")
        answer = may_use(studio, studio.groups.get(children=True))
        known = {"Titanium White", "Ultramarine Blue", "Yellow Oxide", "Burnt Sienna"}
        primaries = {"Primary Yellow", "Naphthol Red Light", "Primary Magenta"}
        assert {line.item.name for line in answer.no_rule} == known | primaries
        assert [line.item.name for line in answer.with_warning] == ["Phthalo Green (blue shade)"]
        (yellow,) = [line for line in answer.not_for if line.item.name == "Hansa Yellow Medium"]
        assert yellow.restrictions[0].why == "its label carries the seal CL, not AP"
        assert "Mars Black" in {line.item.name for line in answer.not_known if line.kept_out}
        assert answer.total == len(answer.no_rule) + 1 + len(answer.not_for) + len(answer.not_known)


def test_the_command_adds_it_once(capsys):
    call_command("demo", no_serve=True)
    call_command("demo", no_serve=True)
    printed = capsys.readouterr().out
    assert "http://127.0.0.1:8000" in printed
    assert "ines     keeper of Quarry Lane Painting Rooms" in printed
    assert "There is a studio already" in printed
    assert Studio.objects.count() == 2


def test_a_port_that_cannot_be_is_refused():
    with pytest.raises(CommandError, match="--port is 99999: give a number from 1 to 65535"):
        call_command("demo", port=99999, no_serve=True)

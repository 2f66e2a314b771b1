"""Studios, their people and their roles."""

import pytest
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command
from django.db import connection

from studio import access, services
from studio.models import Membership, Role, Studio, User

pytestmark = pytest.mark.django_db


class TestTheFirstKeeper:
    def test_the_password_is_asked_before_anything_is_held(self, db, monkeypatch):
        """Waiting for somebody to type inside a transaction would hold up everybody who writes."""

        def ask(prompt):
            assert len(connection.savepoint_ids) == before
            return "quiet-grey-linen"

        before = len(connection.savepoint_ids)
        monkeypatch.setattr("studio.management.accounts.getpass", ask)
        call_command("start_studio", "North Room", keeper="mara")
        assert Studio.objects.get().memberships.get().user.check_password("quiet-grey-linen")

    def test_a_password_that_was_mistyped_makes_nothing(self, db, monkeypatch):
        typed = iter(["quiet-grey-linen", "quiet-gray-linen"])
        monkeypatch.setattr("studio.management.accounts.getpass", lambda prompt: next(typed))
        with pytest.raises(CommandError, match="The two passwords differ"):
            call_command("start_studio", "North Room", keeper="mara")
        assert not User.objects.exists()

    def test_without_a_terminal_it_says_what_to_do(self, db, monkeypatch):
        def no_terminal(prompt):
            raise EOFError

        monkeypatch.setattr("studio.management.accounts.getpass", no_terminal)
        with pytest.raises(CommandError, match="No password was typed for mara"):
            call_command("start_studio", "North Room", keeper="mara")
        assert not Studio.objects.exists()

    @pytest.mark.parametrize(("keeper", "password"), [("mara", "12345"), ("mara", ""), ("x" * 151, "quiet-grey-linen")])
    def test_an_account_that_cannot_be_is_refused_and_nothing_is_left(self, db, monkeypatch, keeper, password):
        monkeypatch.setattr("studio.management.accounts.getpass", lambda prompt: password)
        with pytest.raises(CommandError):
            call_command("start_studio", "North Room", keeper=keeper)
        assert not User.objects.exists()


def test_each_role_may_do_what_the_one_below_may():
    ranks = [Role.STUDENT.rank, Role.MEMBER.rank, Role.TEACHER.rank, Role.KEEPER.rank]
    assert ranks == [0, 1, 2, 3]


def test_a_person_sees_only_their_studios(keeper, studio, other_studio):
    assert list(access.studios(keeper)) == [studio]


def test_a_studio_starts_with_a_keeper():
    ines = User.objects.create(username="ines")
    studio = services.found_studio("Quarry Lane", keeper=ines)
    assert studio.slug == "quarry-lane"
    assert Membership.objects.get(studio=studio).may(Role.KEEPER)


def test_a_second_studio_of_one_address_is_refused(studio, keeper):
    with pytest.raises(ValidationError, match=r"There is a studio at /s/reed-lane/ already.*--slug"):
        services.found_studio("Reed Lane", keeper=keeper)


def test_the_command_starts_a_studio(keeper, capsys):
    call_command("start_studio", "North Room", keeper="keeper", jurisdiction="Australia")
    assert Studio.objects.get(slug="north-room").jurisdiction == "Australia"
    assert "/s/north-room/, kept by keeper" in capsys.readouterr().out


def test_a_command_lets_somebody_in_with_an_account_of_their_own(studio, keeper, monkeypatch, capsys):
    monkeypatch.setattr("studio.management.accounts.getpass", lambda prompt: "quiet-grey-linen")
    call_command("add_person", "wren", studio="reed-lane", role="student")
    assert "wren is a student of Reed Lane." in capsys.readouterr().out
    assert User.objects.get(username="wren").check_password("quiet-grey-linen")
    for username, where, said in (
        ("wren", "reed-lane", "already"),
        ("pia", "nowhere", "--studio is nowhere: there is no such studio. There are: reed-lane."),
    ):
        with pytest.raises(CommandError, match=said):
            call_command("add_person", username, studio=where)
    assert set(studio.members.values_list("username", flat=True)) == {"keeper", "wren"}
    assert not User.objects.filter(username="pia").exists()


def test_the_command_says_what_is_wrong(keeper):
    with pytest.raises(CommandError, match="three capital letters of ISO 4217"):
        call_command("start_studio", "North Room", keeper="keeper", currency="euro")


def test_somebody_without_an_account_is_not_let_in(studio):
    with pytest.raises(ValidationError, match="Nobody here has the user name “nemo”"):
        services.add_member(studio, username="nemo", role=Role.MEMBER)


def test_nobody_is_in_a_studio_twice(studio, member):
    with pytest.raises(ValidationError, match="already in this studio"):
        services.add_member(studio, username="member", role=Role.TEACHER)


def test_the_last_keeper_stays(studio, keeper, teacher):
    own = Membership.objects.get(user=keeper)
    with pytest.raises(ValidationError, match="the only keeper"):
        services.change_role(own, role=Role.MEMBER)
    with pytest.raises(ValidationError, match="the only keeper"):
        services.remove_member(own)
    services.change_role(Membership.objects.get(user=teacher), role=Role.KEEPER)
    services.remove_member(own)
    assert not access.studios(keeper).exists()


class TestPages:
    def test_a_keeper_lets_somebody_in_and_gives_them_a_role(self, client, studio, keeper):
        ana = User.objects.create(username="ana")
        client.force_login(keeper)
        page = client.post(f"/s/{studio.slug}/people/", {"username": "ana", "role": "member"}, follow=True)
        assert "ana is in, as member." in page.content.decode()
        member = Membership.objects.get(user=ana)
        client.post(f"/s/{studio.slug}/people/{member.pk}/role/", {"role": "teacher"})
        member.refresh_from_db()
        assert member.role == Role.TEACHER
        client.post(f"/s/{studio.slug}/people/{member.pk}/remove/")
        assert not Membership.objects.filter(user=ana).exists()

    @pytest.mark.parametrize(
        ("data", "words"),
        [
            ({"username": "nemo", "role": "member"}, "Nobody here has the user name “nemo”"),
            ({"username": "keeper", "role": "member"}, "already in this studio"),
            ({"username": "keeper", "role": "queen"}, "“queen” is none of the choices."),
        ],
    )
    def test_what_cannot_be_is_said(self, client, studio, keeper, data, words):
        client.force_login(keeper)
        page = client.post(f"/s/{studio.slug}/people/", data).content.decode()
        assert words in page
        assert "Not saved" in page

    def test_the_only_keeper_cannot_leave(self, client, studio, keeper):
        client.force_login(keeper)
        own = Membership.objects.get(user=keeper)
        page = client.post(f"/s/{studio.slug}/people/{own.pk}/remove/", follow=True).content.decode()
        assert "the only keeper" in page

    def test_a_keeper_who_leaves_is_shown_the_way_out(self, client, studio, keeper, teacher):
        services.change_role(Membership.objects.get(user=teacher), role=Role.KEEPER)
        client.force_login(keeper)
        own = Membership.objects.get(user=keeper)
        assert client.post(f"/s/{studio.slug}/people/{own.pk}/remove/").url == "/"

    def test_the_facts_of_the_studio_are_changed(self, client, studio, keeper):
        client.force_login(keeper)
        facts = {"name": "Reed Lane", "jurisdiction": "Australia", "currency": "AUD", "emergency_contact": "000"}
        client.post(f"/s/{studio.slug}/facts/", facts)
        studio.refresh_from_db()
        assert (studio.jurisdiction, studio.currency) == ("Australia", "AUD")
        page = client.post(f"/s/{studio.slug}/facts/", facts | {"currency": "dollars"}).content.decode()
        assert "“dollars” has 7 characters. Shorten it to 3." in page

    def test_only_a_keeper_may(self, client, studio, teacher):
        client.force_login(teacher)
        for path in ("people/", "facts/"):
            assert client.get(f"/s/{studio.slug}/{path}").status_code == 403

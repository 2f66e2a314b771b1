"""Studios, their people and their roles."""

import pytest
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command

from studio import access, services
from studio.models import Membership, Role, Studio, User

pytestmark = pytest.mark.django_db


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
    with pytest.raises(ValidationError, match="slug"):
        services.found_studio("Reed Lane", keeper=keeper)


def test_the_command_starts_a_studio(keeper, capsys):
    call_command("start_studio", "North Room", keeper="keeper", jurisdiction="Australia")
    assert Studio.objects.get(slug="north-room").jurisdiction == "Australia"
    assert "/s/north-room/, kept by keeper" in capsys.readouterr().out


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

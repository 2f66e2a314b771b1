"""Handling levels as the demo studio set them in place of the table's own lines. All of it is invented."""

from datetime import datetime, timedelta

from django.utils import timezone

from safety.rules.levels import DUST_DOWN, GLOVES, KEEPER
from safety.services.levels import end_level_rule, set_level_rule
from studio.models import Studio, User

OFFICE = "the college's safety office, by letter (invented)"
MEETING = "the keepers' meeting (invented)"


def set_levels(studio: Studio, keeper: User, today: datetime) -> None:
    """Three rules that hold, one of which took the place of an older, and one that has ended."""

    def give(reach: str, values: str | tuple[str, ...], level: str, word: str, days_ago: int, text: str = "") -> None:
        made = set_level_rule(
            studio,
            by=keeper,
            reach=reach,
            values=values,
            level=level,
            on_whose_word=word,
            set_on=timezone.localdate(today) - timedelta(days=days_ago),
            text=text,
        )
        if text.startswith("Trial"):
            end_level_rule(made, by=keeper)

    give("code", "H317", GLOVES.word, MEETING, 210)
    give("code", "H317", DUST_DOWN.word, OFFICE, 95, "What can cause an allergy on the skin is never sanded here.")
    give("code", "H304", KEEPER.word, OFFICE, 95, "Whatever may be fatal in the airways stays in the locked cabinet.")
    give("metal", "cobalt", DUST_DOWN.word, OFFICE, 95, "Cobalt colours: wiped up wet, never sanded.")
    give("form", ("gouache paint",), GLOVES.word, MEETING, 180, "Trial for one term: gloves for all gouache.")

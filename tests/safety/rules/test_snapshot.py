"""A notice can be put away as plain values and printed again, byte for byte."""

import json

import pytest

from safety.printing import notice
from safety.rules.lists import lists_for
from safety.rules.snapshot import UnreadableSnapshotError, from_plain, to_plain
from tests.safety.printing.test_printed_notice import NOTICES


@pytest.mark.parametrize("case", NOTICES)
def test_what_comes_back_prints_the_same(case):
    content = NOTICES[case]
    plain, facts = json.loads(json.dumps(to_plain(content)))
    again = from_plain(plain, facts)
    assert again == content
    assert to_plain(again) == (plain, facts)
    assert notice.render(again) == notice.render(content)


def test_an_unknown_format_is_refused():
    plain, facts = to_plain(NOTICES["solvent"])
    with pytest.raises(UnreadableSnapshotError, match="must be 1, not 2"):
        from_plain({**plain, "format": 2}, facts)


@pytest.mark.parametrize(
    ("jurisdiction", "first", "says"),
    [
        ("EU", "CLP Annex VI harmonised", "come from the EU list"),
        (" european union ", "CLP Annex VI harmonised", "come from the EU list"),
        ("Australia", "Australia HCIS", "Australian list (HCIS) first"),
        ("US (California)", "CLP Annex VI harmonised", "No list of US (California) is held here"),
        ("", "CLP Annex VI harmonised", "has not said whose law applies"),
    ],
)
def test_lists_are_named_for_what_they_are(jurisdiction, first, says):
    lists = lists_for(jurisdiction)
    assert lists.regimes[0] == first
    assert says in lists.why

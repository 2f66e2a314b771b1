"""What was said of a thing stands beside what is known of it now, cut at whole words."""

import pytest

from safety.rules.changes import changes

WHITE = "inside: Titanium White (PW6), up to 50 ml, Warning, H351 [maker's sheet W 1, revised 2021-10-04]"


@pytest.mark.parametrize(
    ("hung", "now", "differs"),
    [
        ([WHITE], [WHITE.replace("50 ml", "250 ml")], [("50", "250")]),
        ([WHITE], [WHITE.replace("Warning, H351", "Danger, H350")], [("Warning, H351", "Danger, H350")]),
        ([WHITE], [WHITE.replace("(PW6)", "(PW6, PW4)")], [("(PW6),", "(PW6, PW4),")]),
        (["keeper: Ines"], ["keeper: Ines, mornings"], [("Ines", "Ines, mornings")]),
        (["rags: to fill in"], ["rags: Red can"], [("to fill in", "Red can")]),
        (["call: First aid here Lodge"], ["call: First aid here Room 3"], [("Lodge", "Room 3")]),
        (["no rule: Ochre (oil): x"], ["not for: Ochre (oil): x"], [("no rule:", "not for:")]),
        (["set out: A, Danger"], ["set out: B, Danger"], []),
        (["inside: A, up to 50 ml"], ["stands here: A"], []),
        (["PY37 CLP: a | 1"], ["PY37 CLP: b | 1"], []),
        (["sheet: none on file"], ["sheet: Y 1, read today"], [("none on file", "Y 1, read today")]),
    ],
)
def test_lines_about_one_thing_are_paired(hung, now, differs):
    found = changes(hung, now)
    assert (found.gone, found.new) == (tuple(hung), tuple(now))
    assert [(one.was, one.now) for one in found.pairs] == differs
    assert [(one.was_whole, one.now_whole) for one in found.pairs] == list(zip(hung, now, strict=True))[: len(differs)]
    assert (found.gone_alone, found.new_alone) == (((), ()) if differs else (tuple(hung), tuple(now)))


def test_what_is_the_same_is_not_told():
    assert not changes([WHITE, WHITE], [WHITE])

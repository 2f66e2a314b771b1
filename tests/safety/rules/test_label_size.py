"""What a small package need not print: 16 CFR 1500.14(b)(8)(i)(E)(8); CLP Annex I, 1.5.2 and Annex II, 2.1."""

from decimal import Decimal

import pytest

from safety.rules.label_size import eu_label, us_label


@pytest.mark.parametrize(
    ("size", "unit", "full"),
    [("37", "ml", True), ("30.001", "ml", True), ("30", "ml", False), ("15", "ml", False), ("28", "g", False),
     ("28.5", "g", True)],
)  # fmt: skip
def test_the_us_full_label_begins_above_30_ml_or_28_g(size, unit, full):
    """The paragraph speaks of more than one fluid ounce (30 ml) or one ounce net weight (28 g)."""
    text = us_label(Decimal(size), unit).text
    assert ("the full text of the warning belongs on the package" in text) is full
    assert ("read the maker's sheet" in text) is not full


def may_lack(size, *codes, public=True):
    return [code for one in eu_label(codes, Decimal(size), to_the_public=public) for code in one.may_lack]


@pytest.mark.parametrize(
    ("code", "public", "lacks"),
    [
        ("H225", True, True),  # 3: flammable liquids of category 2 or 3
        ("H226", True, True),
        ("H224", True, False),  # category 1 is not named
        ("H228", True, True),  # 4
        ("H272", True, True),  # 8 and 9
        ("H302", True, False),  # 11: acute toxicity of category 4, unless supplied to the public
        ("H302", False, True),
        ("H301", False, False),
        ("H315", True, True),  # 12
        ("H319", True, True),  # 13
        ("H317", True, False),  # sensitisation is not named
        ("H335", True, False),  # 14
        ("H336", False, True),
        ("H373", False, True),  # 15
        ("H372", False, False),
        ("H350", False, False),
        ("H400", True, True),  # 16
        ("H410", True, True),  # 17
        ("H411", True, True),
        ("H412", True, True),  # 1.5.2.1.2: the precautions alone
        ("H413", True, True),
        ("H362", True, True),
        ("H290", True, True),  # 1.5.2.1.3
    ],
)
def test_the_eu_list_for_packages_of_at_most_125_ml(code, public, lacks):
    """CLP Annex I, 1.5.2.1.1 (b), by its numbers, 1.5.2.1.2 and 1.5.2.1.3."""
    assert may_lack(37, code, public=public) == ([code] if lacks else [])
    assert may_lack(125, code, public=public) == ([code] if lacks else [])
    assert may_lack("125.5", code, public=public) == []


def test_what_may_be_absent_is_told_apart():
    found = eu_label(["H226", "H412", "H290", "H350"], Decimal(37))
    assert [(one.may_lack, one.source[-9:]) for one in found] == [
        (("H226",), "1.5.2.1.1"),
        (("H412",), "1.5.2.1.2"),
        (("H290",), "1.5.2.1.3"),
    ]
    assert all("An absent line is no finding." in one.text for one in found)


def test_a_combined_statement_may_be_absent_only_where_each_part_may():
    assert may_lack(37, "H302+H312", public=False) == ["H302+H312"]
    assert may_lack(37, "H302+H312") == []


@pytest.mark.parametrize(("size", "code", "told"), [(40, "EUH201", True), (125, "EUH201", False),
                                                    (125, "EUH201A", True), (40, "EUH201A", False)])  # fmt: skip
def test_the_short_lead_sentence_is_for_less_than_125_ml(size, code, told):
    """CLP Annex II, section 2.1: EUH201A on packages of less than 125 ml, so not at 125 ml itself."""
    assert any(one.rule == "EU lead in paint" for one in eu_label([code], Decimal(size))) is told


@pytest.mark.parametrize("size", ["0", "-1"])
def test_a_size_that_is_none_is_refused(size):
    with pytest.raises(ValueError, match="size must be above 0"):
        eu_label(["H226"], Decimal(size))
    with pytest.raises(ValueError, match="size must be above 0"):
        us_label(Decimal(size))
    with pytest.raises(ValueError, match="unit must be ml or g, not 'oz'"):
        us_label(Decimal(1), "oz")

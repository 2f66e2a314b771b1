"""Pigments in the Australian list: Safe Work Australia, Hazardous Chemical Information System, state of about 2022.

The list prints codes, signal word and pictograms for each CAS number. Two rows are completed by their codes and say so:
PY32, whose row was cut short, and PY41, where the list prints Warning beside H360Df.
"""

import pytest

from safety.rules.statements import split_cell
from tests.safety.reference import pigment, rows

LISTED = {
    ("1345-19-3", "PB35"): "H317 H330 H334 H360F H372",
    ("68412-74-8", "PB74"): "H317 H330 H334 H360F H372",
    ("1313-13-9", "PBk14"): "H302 H332 H372",
    ("68186-89-0", "PBk25"): "H317 H350i H372",
    ("68187-50-8", "PBk29"): "H317 H330 H334 H360F H372",
    ("1333-86-4", "PBk6 PBk7"): "H373",
    ("8011-87-8", "PG19"): "H317 H330 H334 H360F H372",
    ("68187-49-5", "PG26"): "H317 H330 H334 H360F H372",
    ("12069-69-1", "PG39"): "H302 H319 H332 H410",
    ("12656-57-4", "PO20"): "H302 H341 H350 H361fd H372",
    ("1344-38-3", "PO21"): "H317 H331 H341 H350 H360Df H373",
    ("18454-12-1", "PR103"): "H317 H331 H341 H350 H360Df H373",
    ("12656-85-8", "PR104"): "H317 H331 H341 H350 H360Df H373 H410",
    ("1314-41-6", "PR105"): "H341 H351 H360Df H373",
    ("58339-34-7", "PR108"): "H302 H341 H350 H361fd H372",
    ("13455-36-2", "PV14"): "H330 H334 H360F H372",
    ("14590-13-7", "PV49"): "H330 H334 H360F H372",
    ("1319-46-6", "PW1"): "H332 H341 H351 H360Df H373",
    ("513-77-9", "PW10"): "H302",
    ("1309-64-4", "PW11"): "H351",
    ("12036-76-9", "PW2"): "H332 H341 H351 H360Df H373",
    ("14808-60-7", "PW27"): "H350i H372",
    ("7631-86-9", "PW27"): "H350i H372",
    ("7446-14-2", "PW3"): "H332 H341 H351 H360Df H373",
    ("1314-13-2", "PW4"): "H410",
    ("29204-84-0", "PY153"): "H302 H341 H360D",
    ("68610-24-2", "PY157"): "H317 H350i H372",
    ("10294-40-3", "PY31"): "H302 H317 H331 H350 H373",
    ("7789-06-2", "PY32"): "H302 H317 H331 H350 H373 H410",
    ("13765-19-0", "PY33"): "H302 H317 H331 H350 H373 H410",
    ("1344-37-2", "PY34"): "H317 H331 H341 H350 H360Df H373 H410",
    ("7758-97-6", "PY34"): "H317 H331 H341 H350 H360Df H373 H410",
    ("12442-27-2", "PY35"): "H302 H341 H350 H361fd H372",
    ("8048-07-5", "PY35 PY35:1"): "H302 H341 H350 H361fd H372",
    ("37300-23-5", "PY36"): "H302 H317 H331 H350 H373 H410",
    ("11103-86-9", "PY36"): "H302 H317 H331 H350 H373",
    ("1306-23-6", "PY37"): "H302 H341 H350 H361fd H372 H413",
    ("68859-25-6", "PY37"): "H302 H341 H350 H361fd H372",
    ("8012-00-8", "PY41"): "H302 H332 H341 H351 H360Df H373",
    ("1317-36-8", "PY46"): "H341 H351 H360Df H373",
}
ROWS = {(row["cas"], " ".join(split_cell(row["ci_names"]))): row for row in rows("hazards") if row["source"] == "hcis"}


@pytest.mark.parametrize(("cas", "codes"), LISTED)
def test_codes_of_the_australian_rows(cas, codes):
    row = ROWS[cas, codes]
    assert sorted(split_cell(row["h_codes"])) == LISTED[cas, codes].split()
    assert row["regime"] == "Australia HCIS"
    assert row["index_no"] == ""


def test_every_australian_row_is_held_to_the_list():
    assert set(ROWS) == set(LISTED)


@pytest.mark.parametrize("code", ["PB28", "PB36", "PG50"])
def test_cobalt_pigments_that_the_list_does_not_name_get_no_row(code):
    assert not [one for one in pigment(code).substances if one.regime == "Australia HCIS"]

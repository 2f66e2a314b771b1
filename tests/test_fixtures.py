"""The reference data: complete, consistent with itself, and right where a published source can be set beside it."""

import csv
import math
import re
from pathlib import Path

import pytest
from casregnum import CAS

FIXTURES = Path(__file__).resolve().parent.parent / "fixtures"
CONFIDENCE = {"published", "common practice", "from memory"}
METALS = {"Cd", "Co", "Pb", "Cr3", "Cr6", "Ni", "Mn", "Sb", "As", "Hg", "Cu", "Ba", "Zn", "Se", "V"}
ASTM = ["I", "II", "III", "IV", "V"]
HUES = {"white", "yellow", "orange", "red", "violet", "blue", "green", "brown", "black"}
REGIMES = {
    "CLP Annex VI harmonised",
    "CLP group entry",
    "supplier self-classification",
    "IARC",
    "NTP RoC",
    "Prop 65",
    "OSHA standard",
    "REACH Annex XIV",
    "REACH Annex XVII",
    "REACH SVHC",
    "Australia HCIS",
}
UNITS = {
    "",
    "ug/m3",
    "mg/m3",
    "ppm",
    "date",
    "ug/day",
    "years",
    "ug/100 ml blood",
    "% by weight",
    "% by weight, as Cd",
    "% by weight, as Pb",
    "% by weight, sum",
    "% by weight of an ingredient",
    "% lead expressed as metal",
    "school grade and below",
    "school grade and above",
    "fl oz (30 ml) or 1 oz net (28 g)",
}


def rows(name):
    with (FIXTURES / name).open(encoding="utf-8", newline="") as table:
        return list(csv.DictReader(table))


def values(cell):
    return [value for value in cell.split(";") if value]


PIGMENTS = {row["ci_name"]: row for row in rows("pigments.csv")}
HAZARDS = {row["key"]: row for row in rows("hazards.csv")}
LIMITS = {row["key"]: row for row in rows("limits.csv")}
STATEMENTS = rows("statements.csv")
OPTICS = rows("optics.csv")
FILES = {
    "pigments.csv": (240, ("ci_name",)),
    "hazards.csv": (182, ("key",)),
    "limits.csv": (106, ("key",)),
    "statements.csv": (266, ("code", "hazard_class", "category")),
    "optics.csv": (110, ("ci", "name")),
    "solvents.csv": (7, ("key",)),
}


@pytest.mark.parametrize("name", FILES)
def test_every_row_has_source_confidence_and_a_key_of_its_own(name):
    least, key = FILES[name]
    table = rows(name)
    assert len(table) >= least
    for row in table:
        assert None not in row, f"too many cells: {row}"
        assert row["source"], row
        assert row["confidence"] in CONFIDENCE, row
    keys = [tuple(row[column] for column in key) for row in table]
    assert all(k[0] for k in keys)
    assert len(set(keys)) == len(keys)


@pytest.mark.parametrize("name", FILES)
def test_cells_carry_no_stray_blanks_or_separators(name):
    for row in rows(name):
        for column, cell in row.items():
            assert cell == cell.strip(), (column, row)
            assert "  " not in cell, (column, row)
            assert cell == cell.strip(";"), (column, row)
            assert ";;" not in cell, (column, row)


def test_source_keys_are_explained_in_the_readme():
    explained = (FIXTURES / "README.md").read_text(encoding="utf-8")
    keys = {key for name in FILES for row in rows(name) for key in values(row["source"])}
    missing = {key for key in keys if not key.startswith("29-cfr-") and f"`{key}`" not in explained}
    assert not missing
    assert "`29-cfr-...`" in explained


def is_cas(number):
    try:
        CAS(number)
    except ValueError:
        return False
    return True


def test_cas_check_digits():
    """Check digits by the casregnum library; 147-14-8 is copper phthalocyanine, 147-14-7 does not exist."""
    assert is_cas("147-14-8")
    assert not is_cas("147-14-7")
    numbers = [n for row in (*PIGMENTS.values(), *HAZARDS.values()) for n in values(row["cas"])]
    assert len(numbers) >= 400
    assert not [n for n in numbers if not is_cas(n)]


def index_check_digit(index_no):
    digits = index_no.replace("-", "")[:-1]
    total = sum(weight * int(digit) for weight, digit in enumerate(digits, start=1)) % 11
    return "X" if total == 10 else str(total)


def test_index_numbers_have_their_check_digit():
    """CLP Annex VI, 1.1.1.1: the last digit follows the 10-digit ISBN method."""
    assert index_check_digit("048-010-00-4") == "4"
    assert index_check_digit("048-010-00-5") == "4"
    numbers = {row["index_no"] for row in HAZARDS.values() if row["index_no"]}
    for row in HAZARDS.values():
        numbers.update(re.findall(r"\b\d{3}-\d{3}-\d{2}-[\dX]", row["classification"] + " " + row["notes"]))
    assert len(numbers) >= 40
    assert not [n for n in numbers if n[-1] != index_check_digit(n)]


def test_pigment_values_come_from_their_lists():
    for name, row in PIGMENTS.items():
        assert re.fullmatch(r"(P(W|Y|O|R|V|B|G|Br|Bk)|N(R|Y|Br))\d+(:\d)?", name)
        for number in values(row["ci_number"]):
            assert re.fullmatch(r"\d{5,6}(:\d)?", number), name
        assert set(values(row["metals"])) <= METALS, name
        assert row["hue_family"] in HUES, name
        assert row["lightfastness_astm"] in {"", "I", "II", "III", "IV", "V"}, name
        for pair in values(row["lightfastness_by_binder"]):
            binder, mark = pair.split(":")
            assert binder in {"oil", "acrylic", "watercolour", "gouache"}, name
            # The column for all binders holds the lowest.
            assert ASTM.index(mark) <= ASTM.index(row["lightfastness_astm"]), name
        assert row["opacity_typical"] in {"transparent", "semi-transparent", "semi-opaque", "opaque"}, name
        assert row["tint_strength_typical"] in {"low", "medium", "high", "very high"}, name
        if row["density_g_cm3"]:
            assert 1 < float(row["density_g_cm3"]) < 10, name


def test_full_name_and_short_name_agree():
    letters = {"W": "White", "Y": "Yellow", "O": "Orange", "R": "Red", "V": "Violet", "B": "Blue", "G": "Green"}
    letters |= {"Br": "Brown", "Bk": "Black"}
    for name, row in PIGMENTS.items():
        match = re.fullmatch(r"([PN])([A-Z][rk]?)(\d+(?::\d)?)", name)
        assert match
        kind, hue, number = match.groups()
        assert row["ci_full"] == f"{'Pigment' if kind == 'P' else 'Natural'} {letters[hue]} {number}"


# Society of Dyers and Colourists' numbers as trade literature prints them; recalled from general use, no one source.
@pytest.mark.parametrize(
    ("ci_name", "number", "cas"),
    [
        ("PW1", "77597", "1319-46-6"),
        ("PW4", "77947", "1314-13-2"),
        ("PW6", "77891", "13463-67-7"),
        ("PY3", "11710", "6486-23-3"),
        ("PY17", "21105", "4531-49-1"),
        ("PY74", "11741", "6358-31-2"),
        ("PY83", "21108", "5567-15-7"),
        ("PY154", "11781", "68134-22-5"),
        ("PO36", "11780", "12236-62-3"),
        ("PO73", "561170", "84632-59-7"),
        ("PR5", "12490", "6410-41-9"),
        ("PR101", "77491", "1309-37-1"),
        ("PR122", "73915", "980-26-7"),
        ("PR170", "12475", "2786-76-7"),
        ("PR254", "56110", "84632-65-5"),
        ("PV19", "73900", "1047-16-1"),
        ("PV23", "51319", "6358-30-1"),
        ("PV29", "71129", "81-33-4"),
        ("PB15:3", "74160", "147-14-8"),
        ("PB28", "77346", "1345-16-0"),
        ("PB29", "77007", "57455-37-5"),
        ("PB60", "69800", "81-77-6"),
        ("PG7", "74260", "1328-53-6"),
        ("PG17", "77288", "1308-38-9"),
        ("PG36", "74265", "14302-13-7"),
        ("PBk7", "77266", "1333-86-4"),
        ("PBk9", "77267", "8021-99-6"),
    ],
)
def test_numbers_of_common_pigments(ci_name, number, cas):
    assert number in values(PIGMENTS[ci_name]["ci_number"])
    assert cas in values(PIGMENTS[ci_name]["cas"])


def test_hazards_name_known_pigments_regimes_and_phrases():
    codes = {row["code"] for row in STATEMENTS}
    for key, row in HAZARDS.items():
        assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*/[a-z0-9-]+", key)
        assert row["regime"] in REGIMES, key
        assert set(values(row["ci_names"])) <= PIGMENTS.keys(), key
        assert set(values(row["h_codes"])) <= codes, key
        assert row["signal_word"] in {"", "Danger", "Warning"}, key
        assert set(values(row["pictograms"])) <= {f"GHS0{n}" for n in range(1, 10)}, key


def test_every_pigment_with_a_listed_metal_has_a_hazard_row():
    covered = {name for row in HAZARDS.values() for name in values(row["ci_names"])}
    assert not [name for name, row in PIGMENTS.items() if row["metals"] and name not in covered]


def label_from_codes(h_codes):
    """Signal word and pictograms that the phrases call for, with the precedence of CLP Article 26 (1)."""
    signs: dict[str, set[str]] = {}
    words = set()
    for code in h_codes:
        labels = [row for row in STATEMENTS if row["code"] == code]
        assert len({(row["pictogram"], row["signal_word"]) for row in labels}) == 1, f"{code} depends on the category"
        words.add(labels[0]["signal_word"])
        for sign in values(labels[0]["pictogram"]):
            signs.setdefault(sign, set()).add(code)
    skin_and_eye = {"H315", "H319"}
    exclamation = signs.get("GHS07", set())
    if "GHS05" in signs:
        exclamation = exclamation - skin_and_eye
    if "H334" in h_codes:
        exclamation = exclamation - skin_and_eye - {"H317"}
    if "GHS06" in signs or not exclamation:
        signs.pop("GHS07", None)
    word = "Danger" if "Danger" in words else "Warning" if "Warning" in words else ""
    return word, set(signs)


@pytest.mark.parametrize("key", HAZARDS)
def test_signal_word_and_pictograms_follow_from_the_codes(key):
    row = HAZARDS[key]
    assert (row["signal_word"], set(values(row["pictograms"]))) == label_from_codes(values(row["h_codes"]))


def test_label_precedence_can_tell_the_cases_apart():
    """CLP Article 26 (1) b to d, worked by hand."""
    assert label_from_codes(["H301", "H317"]) == ("Danger", {"GHS06"})
    assert label_from_codes(["H318", "H315"]) == ("Danger", {"GHS05"})
    assert label_from_codes(["H318", "H317"]) == ("Danger", {"GHS05", "GHS07"})
    assert label_from_codes(["H334", "H317"]) == ("Danger", {"GHS08"})
    assert label_from_codes(["H411"]) == ("", {"GHS09"})
    assert label_from_codes([]) == ("", set())


# Regulation (EC) No 1272/2008, Annex VI, Table 3 (17th adaptation): index number, label codes.
ANNEX_VI = {
    "cadmium-sulphide/clp-annex-vi": ("048-010-00-4", "H302 H341 H350 H361fd H372 H413"),
    "cadmium-compounds/clp-group": ("048-001-00-5", "H302 H312 H332 H410"),
    "lead-compounds/clp-group": ("082-001-00-6", "H302 H332 H360Df H373 H410"),
    "lead-chromate/clp-annex-vi": ("082-004-00-2", "H350 H360Df H373 H410"),
    "lead-sulfochromate-yellow/clp-annex-vi": ("082-009-00-X", "H350 H360Df H373 H410"),
    "lead-chromate-molybdate-sulfate-red/clp-annex-vi": ("082-010-00-5", "H350 H360Df H373 H410"),
    "zinc-chromates/clp-annex-vi": ("024-007-00-3", "H302 H317 H350 H410"),
    "calcium-chromate/clp-annex-vi": ("024-008-00-9", "H302 H350 H410"),
    "strontium-chromate/clp-annex-vi": ("024-009-00-4", "H302 H350 H410"),
    "chromium-vi-compounds/clp-group": ("024-017-00-8", "H317 H350i H410"),
    "barium-salts/clp-group": ("056-002-00-7", "H302 H332"),
    "barium-carbonate/clp-annex-vi": ("056-003-00-2", "H302"),
    "zinc-oxide/clp-annex-vi": ("030-013-00-7", "H410"),
    "manganese-dioxide/clp-annex-vi": ("025-001-00-3", "H302 H332"),
    "antimony-compounds/clp-group": ("051-003-00-9", "H302 H332 H411"),
    "antimony-trioxide/clp-annex-vi": ("051-005-00-X", "H351"),
    "arsenic-compounds/clp-group": ("033-002-00-5", "H301 H331 H410"),
    "cobalt-nickel-grey-periclase/clp-annex-vi": ("028-043-00-0", "H317 H350i H372"),
    "nickel-barium-titanium-priderite/clp-annex-vi": ("028-052-00-X", "H317 H350i H372"),
    "turpentine/clp-annex-vi": ("650-002-00-6", "H226 H302 H304 H312 H315 H317 H319 H332 H411"),
    "mit/clp-annex-vi": ("613-326-00-9", "EUH071 H301 H311 H314 H317 H330 H410"),
}


@pytest.mark.parametrize("key", ANNEX_VI)
def test_annex_vi_entries(key):
    index_no, codes = ANNEX_VI[key]
    assert HAZARDS[key]["index_no"] == index_no
    assert sorted(values(HAZARDS[key]["h_codes"])) == codes.split()


# The exceptions written into the names of the group entries of Annex VI, Table 3.
@pytest.mark.parametrize(
    ("ci_name", "group"),
    [
        ("PY35", "048-001-00-5"),  # xCdS.yZnS
        ("PO20", "048-001-00-5"),  # xCdS.yCdSe
        ("PR108", "048-001-00-5"),  # xCdS.yCdSe
        ("PO23", "048-001-00-5"),  # xCdS.yHgS
        ("PR113", "048-001-00-5"),  # xCdS.yHgS
        ("PR106", "080-002-00-6"),  # mercuric sulphide
        ("PR107", "051-003-00-9"),  # Sb2S3
        ("PY31", "024-017-00-8"),  # barium chromate
        ("PW21", "056-002-00-7"),  # barium sulphate
        ("PR49:1", "056-002-00-7"),  # azo salts
    ],
)
def test_pigments_excepted_by_name_take_no_codes_from_the_group(ci_name, group):
    mine = [row for row in HAZARDS.values() if ci_name in values(row["ci_names"])]
    excepted = [row for row in mine if f"excluded by name from {group}" in row["classification"]]
    assert len(excepted) == 1
    assert not excepted[0]["h_codes"]
    assert not [row for row in mine if row["index_no"] == group]


def harmonised(ci_name):
    regimes = {"CLP Annex VI harmonised", "CLP group entry"}
    return {
        row["index_no"]
        for row in HAZARDS.values()
        if ci_name in values(row["ci_names"]) and row["regime"] in regimes and row["index_no"]
    }


def test_pigments_that_are_easily_taken_for_each_other():
    """CLP Annex VI, Table 3: which of two like pigments has an entry, and in which category."""
    assert harmonised("PY37") == {"048-010-00-4"}
    assert harmonised("PY35") == harmonised("PO20") == harmonised("PR108") == set()
    assert harmonised("PY157") == {"028-052-00-X"}
    assert harmonised("PY53") == set()
    assert HAZARDS["zinc-chromates/clp-annex-vi"]["classification"].startswith("Carc. 1A")
    assert harmonised("PY36") == {"024-007-00-3"}
    assert HAZARDS["strontium-chromate/clp-annex-vi"]["classification"].startswith("Carc. 1B")
    assert harmonised("PY32") == {"024-009-00-4"}
    assert harmonised("PY31") == {"056-002-00-7"}
    assert harmonised("PG15") == {"082-004-00-2"}
    assert {"Pb", "Cr6"} <= set(values(PIGMENTS["PG15"]["metals"]))
    for trivalent in ("PG17", "PG18"):
        assert values(PIGMENTS[trivalent]["metals"]) == ["Cr3"]
        assert harmonised(trivalent) == set()


def test_titanium_dioxide_has_no_codes_since_the_annulment():
    """General Court T-279/20 (2022) and Court of Justice C-71/23 P (2025): the classification is annulled."""
    row = HAZARDS["titanium-dioxide/clp-annex-vi"]
    assert row["classification"].startswith("annulled")
    assert (row["h_codes"], row["signal_word"], row["pictograms"]) == ("", "", "")


@pytest.mark.parametrize(
    ("key", "figure", "unit"),
    [
        ("cadmium-pel/us-osha", 5, "ug/m3"),  # 29 CFR 1910.1027(c)
        ("cadmium-action-level/us-osha", 2.5, "ug/m3"),  # 29 CFR 1910.1027(b)
        ("cadmium-pigment-manufacture-secal-calcine-crush-mill-blend/us-osha", 50, "ug/m3"),  # 1910.1027 Table I
        ("cadmium-pigment-manufacture-secal-other/us-osha", 15, "ug/m3"),  # 1910.1027 Table I
        ("lead-pel/us-osha", 50, "ug/m3"),  # 29 CFR 1910.1025(c)
        ("lead-action-level/us-osha", 30, "ug/m3"),  # 29 CFR 1910.1025(b)
        ("chromium-vi-pel/us-osha", 5, "ug/m3"),  # 29 CFR 1910.1026(c)
        ("chromium-vi-action-level/us-osha", 2.5, "ug/m3"),  # 29 CFR 1910.1026(b)
        ("inorganic-arsenic-pel/us-osha", 10, "ug/m3"),  # 29 CFR 1910.1018(c)
        ("inorganic-arsenic-action-level/us-osha", 5, "ug/m3"),  # 29 CFR 1910.1018(b)
        ("turpentine-pel-ppm/us-osha", 100, "ppm"),  # 29 CFR 1910.1000 Table Z-1
        ("stoddard-solvent-pel-mg-m3/us-osha", 2900, "mg/m3"),  # 29 CFR 1910.1000 Table Z-1
        ("stoddard-solvent-rel/us-niosh", 350, "mg/m3"),  # NIOSH IDLH documentation, 1994
        ("stoddard-solvent-ceiling/us-niosh", 1800, "mg/m3"),  # NIOSH IDLH documentation, 1994
        ("cadmium-and-inorganic-compounds-limit/eu", 0.001, "mg/m3"),  # Directive 2004/37/EC Annex III
        ("chromium-vi-compounds-limit/eu", 0.005, "mg/m3"),  # Directive 2004/37/EC Annex III
        ("respirable-crystalline-silica-dust-limit/eu", 0.1, "mg/m3"),  # Directive 2004/37/EC Annex III
    ],
)
def test_limits_agree_with_the_rule_they_cite(key, figure, unit):
    assert float(LIMITS[key]["figure"]) == figure
    assert LIMITS[key]["unit"] == unit


def test_limits_are_numbers_or_dates_with_a_known_unit():
    for key, row in LIMITS.items():
        assert row["topic"], key
        assert row["jurisdiction"], key
        assert row["citation"], key
        assert row["unit"] in UNITS, key
        assert bool(row["figure"]) == bool(row["unit"]), key
        if row["unit"] == "date":
            assert re.fullmatch(r"\d{4}-\d\d-\d\d", row["figure"]), key
        elif row["figure"]:
            assert float(row["figure"]) > 0, key


def test_every_precautionary_code_used_is_defined():
    defined = {row["code"] for row in STATEMENTS if row["kind"] == "P"}
    used = {code for row in STATEMENTS for code in values(row["p_codes"])}
    assert used <= defined
    assert {part for code in used for part in code.split("+")} <= defined


def test_one_code_has_one_wording():
    wording: dict[str, str] = {}
    for row in STATEMENTS:
        assert wording.setdefault(row["code"], row["phrase"]) == row["phrase"]
        assert "<" not in row["phrase_plain"] or row["code"] == "EUH208"
        assert row["kind"] in {"H", "P", "EUH"}
        assert row["code"].startswith(row["kind"])
        assert row["signal_word"] in {"", "Danger", "Warning"}


def test_combined_precautionary_phrases_are_made_of_their_parts():
    """GHS Annex 3: a combined phrase strings its parts together; "And wash" loses its capital there."""
    wording = {row["code"]: row["phrase"] for row in STATEMENTS if row["kind"] == "P"}
    for code, phrase in wording.items():
        if "+" in code:
            text = " ".join(wording[part] for part in code.split("+"))
            assert phrase.lower() == text.replace(". And wash", " and wash").lower()


# Regulation (EC) No 1272/2008, Annexes II to IV in English, consolidated text of 1 September 2025.
@pytest.mark.parametrize(
    ("code", "phrase"),
    [
        ("H200", "Unstable explosives."),
        ("H202", "Explosive, severe projection hazard."),
        ("H226", "Flammable liquid and vapour."),
        ("H304", "May be fatal if swallowed and enters airways."),
        ("H317", "May cause an allergic skin reaction."),
        ("H334", "May cause allergy or asthma symptoms or breathing difficulties if inhaled."),
        ("H373", None),
        ("H410", "Very toxic to aquatic life with long lasting effects."),
        ("H413", "May cause long lasting harmful effects to aquatic life."),
        ("EUH066", "Repeated exposure may cause skin dryness or cracking."),
        ("EUH201A", "Warning! Contains lead."),
        ("EUH208", "Contains <name of sensitising substance>. May produce an allergic reaction."),
        ("EUH210", "Safety data sheet available on request."),
        # Regulation (EU) 2023/707, in mixtures new on the market since 1 May 2026; from public copies of the list.
        ("EUH380", "May cause endocrine disruption in humans."),
        ("EUH441", "Strongly accumulates in the environment and living organisms including in humans."),
        ("EUH450", "Can cause long-lasting and diffuse contamination of water resources."),
        # Aluminium powder is H261: what its sheet prints of water and store.
        ("P231+P232", "Handle and store contents under inert gas/… Protect from moisture."),
        ("P402+P404", "Store in a dry place. Store in a closed container."),
        ("P201", "Obtain special instructions before use."),
        ("P210", "Keep away from heat, hot surfaces, sparks, open flames and other ignition sources. No smoking."),
        ("P261", "Avoid breathing dust/fume/gas/mist/vapours/spray."),
        ("P270", "Do not eat, drink or smoke when using this product."),
        ("P308+P313", "IF exposed or concerned: Get medical advice/attention."),
        ("P331", "Do NOT induce vomiting."),
        ("P501", "Dispose of contents/container to …"),
    ],
)
def test_phrases_are_the_standards_own(code, phrase):
    if phrase is None:
        phrase = (
            "May cause damage to organs <or state all organs affected, if known> through prolonged or repeated "
            "exposure <state route of exposure if it is conclusively proven that no other routes of exposure cause the "
            "hazard>."
        )
    assert {row["phrase"] for row in STATEMENTS if row["code"] == code} == {phrase}


def terms(cell):
    return [tuple(float(number) for number in term.split(":")) for term in values(cell)]


def absorption_and_scattering(row, wavelength):
    """K and S at a wavelength in nm, by the formula of fixtures/README.md."""
    K0, floor, Km, S0, Sn = (float(row[column]) for column in ("K0", "floor", "Km", "S0", "Sn"))
    shape = floor
    shape += sum(a / (1 + math.exp((wavelength - e) / w)) for e, w, a in terms(row["edges"]))
    shape += sum(a * math.exp(-(((wavelength - c) / s) ** 2) / 2) for c, s, a in terms(row["bands"]))
    K = K0 * (wavelength / 550) ** Km * shape
    return K, S0 * (wavelength / 550) ** -Sn + K / 20


def test_optics_rows_parse_and_are_positive():
    for row in OPTICS:
        assert row["ci"] in PIGMENTS, row
        assert row["scattering"] in {"low", "medium", "high"}, row
        assert float(row["K0"]) > 0, row
        assert float(row["S0"]) > 0, row
        assert float(row["floor"]) > 0, row
        for centre, width, height in (*terms(row["edges"]), *terms(row["bands"])):
            assert 380 <= centre <= 760, row
            assert width > 0, row
            assert height > 0, row
        for wavelength in range(400, 701, 10):
            K, S = absorption_and_scattering(row, wavelength)
            assert K > 0, row
            assert S > 0, row


@pytest.mark.parametrize(
    ("ci", "name", "least"),
    [
        ("PB29", "ultramarine blue", 450),
        ("PB15:3", "phthalo blue green shade", 450),
        ("PG7", "phthalo green blue shade", 530),
        ("PG17", "chromium oxide green", 530),
        ("PY74", "Hansa yellow opaque", 630),
        ("PR254", "pyrrole red", 630),
        ("PBr7", "burnt sienna", 630),
    ],
)
def test_optics_give_each_pigment_its_colour(ci, name, least):
    """Common practice, no source: of blue, green and red light a pigment absorbs its own hue least."""
    row = next(row for row in OPTICS if (row["ci"], row["name"]) == (ci, name))
    assert min((450, 530, 630), key=lambda wavelength: absorption_and_scattering(row, wavelength)[0]) == least

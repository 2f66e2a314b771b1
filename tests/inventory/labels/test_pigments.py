"""Pigment lists as people type them. The shapes come from lists in use; common practice, no source, unless said."""

import pytest

from inventory.labels import Severity, check_single_pigment, read_pigments

from .conftest import known_pigments


def kinds(reading, severity=None):
    return [doubt.code for doubt in reading.doubts if severity is None or doubt.severity is severity]


def options(reading, place=0):
    return [option.value for option in reading.unresolved[place].options]


def doubt_of(reading, code):
    return next(doubt for doubt in reading.doubts if doubt.code == code)


# One code, many hands


@pytest.mark.parametrize(
    "text",
    ["PB29", "PB 29", "P.B.29", "P.B. 29", "P. B. 29", "pb-29", "pb29", "Pb29", "PB_29", "PB#29", "PB no. 29", " PB29 ",
     "PB29.", "(PB29)", "[PB29]", "CI PB29", "C.I. PB29", "Pigment Blue 29", "pigment blue 29", "C.I. Pigment Blue 29",
     "CI Pigment Blue No. 29", "P.Blue 29", "PBlue29",
     "Pigments: PB29", "PB\u00a029", "PB\u202f29", "PB–29", "PB—29", "PB\u201129", "ＰＢ２９",
     "PB\u200b29", "\ufeffPB29", "PB029", "Pigment Blue 29, 77007", "PB29 (77007)", "PB29 CI 77007", "PB29/77007",
     "77007, PB29", "=PB29", "<b>PB29</b>", "PB29   "],
)  # fmt: skip
def test_one_code_is_read_however_it_is_written(read, text):
    reading = read(text)
    assert reading.codes == ("PB29",)
    assert reading.is_settled
    assert reading.text == text
    assert not kinds(reading, Severity.NOTE)


@pytest.mark.parametrize("pigment", known_pigments(), ids=lambda pigment: pigment.ci_name)
@pytest.mark.parametrize("write", [str, str.upper, str.lower, lambda code: f"{code[0]} {code[1:]}"])
def test_every_known_code_reads_as_itself_in_any_case(read, pigment, write):
    reading = read(write(pigment.ci_name))
    if pigment.ci_name == "PB15":
        assert reading.unresolved[0].family == "PB15"
    else:
        assert reading.codes == (pigment.ci_name,)
        assert not reading.unresolved


@pytest.mark.parametrize("pigment", known_pigments(), ids=lambda pigment: pigment.ci_name)
def test_every_full_name_with_its_number_agrees(read, pigment):
    """The table's own names and constitution numbers, through the words that standards use."""
    reading = read(f"C.I. {pigment.ci_full}, {', '.join(pigment.ci_numbers)}")
    if pigment.ci_name != "PB15":
        assert reading.codes == (pigment.ci_name,)
        assert reading.pigments[0].numbers == pigment.ci_numbers
    assert not {"number-conflict", "number-unknown", "bare-number", "left-aside"} & set(kinds(reading))


@pytest.mark.parametrize("pigment", known_pigments(), ids=lambda pigment: pigment.ci_name)
def test_no_common_name_of_a_pigment_speaks_against_its_code(read, pigment):
    for name in pigment.common_names:
        found = set(kinds(read(pigment.ci_name, name)))
        assert not found & {"name-colour", "name-metal", "name-free"}, name


@pytest.mark.parametrize(
    ("text", "code"),
    [("PBR7", "PBr7"), ("PBr7", "PBr7"), ("pbr7", "PBr7"), ("PBK9", "PBk9"), ("PBk9", "PBk9"), ("Pbr6", "PBr6"),
     ("Pw6", "PW6"), ("Py3", "PY3"), ("PBrn7", "PBr7"), ("PBLK9", "PBk9"), ("Pigment Brown 7", "PBr7"),
     ("Pigment Black 9", "PBk9"), ("P.Br.7", "PBr7"), ("P Bk 9", "PBk9")],
)  # fmt: skip
def test_brown_and_black_are_never_blue(read, text, code):
    assert read(text).codes == (code,)


@pytest.mark.parametrize(
    ("text", "code"),
    [("NR4", "NR4"), ("NR 9", "NR9"), ("NBr8", "NBr8"), ("NBR8", "NBr8"), ("NY24", "NY24"), ("Natural Red 9", "NR9"),
     ("C.I. Natural Brown 8", "NBr8")],
)  # fmt: skip
def test_natural_codes(read, text, code):
    assert read(text).codes == (code,)


@pytest.mark.parametrize("text", ["PB15:3", "PB 15:3", "PB15 : 3", "pb15:3", "Pigment Blue 15:3", "PB15：3"])
def test_a_sub_number_behind_a_colon(read, text):
    reading = read(text)
    assert reading.codes == ("PB15:3",)
    assert not reading.doubts


@pytest.mark.parametrize("text", ["PB15.3", "PB15-3", "PB15/3", "PB15–3"])
def test_a_sub_number_behind_another_mark_is_flagged(read, text):
    reading = read(text)
    assert reading.codes == ("PB15:3",)
    assert reading.is_settled
    doubt = doubt_of(reading, "odd-mark")
    assert doubt.severity is Severity.READ_AS
    assert f"“{text}” is read as PB15:3" in doubt.message


@pytest.mark.parametrize("text", ["PB15", "Pb15", "PB 15", "Pigment Blue 15", "PB15, 74160"])
def test_a_bare_family_is_asked(read, text):
    reading = read(text)
    assert reading.codes == ()
    assert not reading.unknown
    assert not reading.is_settled
    assert reading.unresolved[0].family == "PB15"
    assert set(options(reading)) == {"PB15", "PB15:1", "PB15:3", "PB15:4", "PB15:6"}
    assert reading.unresolved[0].options[-1].label.startswith("Just PB15")


def test_the_name_sorts_the_members_of_a_family(read):
    assert options(read("PB15", "Phthalo Blue Green Shade"))[0] in {"PB15:3", "PB15:4"}


def test_a_family_without_a_row_of_its_own_is_asked(read):
    assert options(read("PR57")) == ["PR57:1", "PR57"]
    assert set(options(read("PR48"))) == {"PR48:2", "PR48:4", "PR48"}


def test_a_code_with_one_lithopone_form_stays_itself(read):
    assert read("PR108", "Cadmium Red Deep").codes == ("PR108",)
    assert read("PW6").codes == ("PW6",)


def test_the_slash_between_two_codes_divides_them(read):
    reading = read("PB15/PB3")
    assert [open_part.as_typed for open_part in reading.unresolved] == ["PB15", "PB3"]
    assert "not in our list" in reading.unresolved[1].doubt.message
    assert options(reading, 1)[0] == "PB15:3"


@pytest.mark.parametrize(
    ("text", "code"),
    [("PYl50", "PY150"), ("PYI50", "PY150"), ("PY15O", "PY150"), ("PY15o", "PY150"), ("PO2O", "PO20"),
     ("PR1O1", "PR101"), ("PR1OI", "PR101"), ("PRl0l", "PR101"), ("PR|01", "PR101"), ("PBI5:3", "PB15:3"),
     ("P020", "PO20"), ("PO43", "PO43"), ("po2o", "PO20")],
)  # fmt: skip
def test_letters_typed_for_digits_are_flagged_and_the_prefix_survives(read, text, code):
    reading = read(text)
    assert reading.codes == (code,)
    assert ("letter-as-digit" in kinds(reading, Severity.READ_AS)) == (text != code)


@pytest.mark.parametrize("text", ["РВ29", "рв29", "РB 29", "ΡΒ29", "Р.В.29"])
def test_look_alike_letters_are_flagged(read, text):
    reading = read(text)
    assert reading.codes == ("PB29",)
    assert reading.pigments[0].as_typed == text
    assert kinds(reading) == ["look-alike"]


def test_cyrillic_words_are_kept_as_typed(read):
    reading = read("Ультрамарин РВ29")
    assert reading.codes == ("PB29",)
    assert reading.pigments[0].note == "Ультрамарин"


# Lists


@pytest.mark.parametrize(
    "text",
    ["PB29, PW6", "PB29; PW6", "PB29 + PW6", "PB29/PW6", "PB29 & PW6", "PB29 and PW6", "PB29\nPW6", "PB29   PW6",
     "PB29 PW6", "PB29,PW6,", "PB29 und PW6", "PB29\tPW6", "PB29\r\nPW6", "PB29PW6", "PB29 | PW6", "PB29 · PW6",
     "1: PB29 2: PW6"],
)  # fmt: skip
def test_separators(read, text):
    assert read(text).codes == ("PB29", "PW6")


def test_pigments_stay_in_label_order_with_their_places(read):
    text = "PY3, PG7 (blue shade), NR4"
    reading = read(text)
    assert [(p.code, p.position, text[p.start : p.end]) for p in reading.pigments] == [
        ("PY3", 0, "PY3"), ("PG7", 1, "PG7"), ("NR4", 2, "NR4"),
    ]  # fmt: skip
    assert reading.pigments[1].note == "blue shade"
    assert reading.written == "PY3, PG7, NR4"


def test_a_code_listed_twice_counts_once(read):
    reading = read("PB29, PW6, pb 29")
    assert reading.codes == ("PB29", "PW6")
    assert "listed-twice" in kinds(reading)


@pytest.mark.parametrize("text", ["PR83 or PR177", "PR83 oder PR177", "PR83 ou PR177", "PR83 (or PR177)"])
def test_alternatives_are_asked(read, text):
    reading = read(text)
    assert reading.codes == ()
    assert options(reading) == ["PR83", "PR177", "PR83+PR177"]
    doubt = reading.unresolved[0].doubt
    assert read(text, chosen={doubt.key: "PR177"}).codes == ("PR177",)
    assert read(text, chosen={doubt.key: "PR83+PR177"}).codes == ("PR83", "PR177")


def test_alternatives_leave_the_rest_of_the_list_alone(read):
    reading = read("PY3, PR83 or PR177, PW6")
    assert reading.codes == ("PY3", "PW6")
    assert [p.position for p in reading.pigments] == [0, 2]


def test_two_complete_lists_in_one_cell_are_asked(read):
    text = "PY3, PG7\nPY151, PG36"
    reading = read(text)
    assert reading.codes == ()
    assert options(reading) == ["PY3+PG7", "PY151+PG36", "PY3+PG7+PY151+PG36"]
    assert read(text, chosen={reading.unresolved[0].doubt.key: "PY151+PG36"}).codes == ("PY151", "PG36")


@pytest.mark.parametrize("text", ["PY3, PG7,\nPW6", "PY3 + PG7\n+ PW6", "PY3 PG7 and\nPW6"])
def test_a_list_that_goes_on_in_the_next_line_is_one_list(read, text):
    assert read(text).codes == ("PY3", "PG7", "PW6")


def test_a_number_that_carries_on_is_asked(read):
    reading = read("PB29 or 28")
    assert options(reading) == ["PB29", "PB28", "PB29+PB28"]
    assert read("PB29 or 28", chosen={reading.doubts[0].key: "PB28"}).codes == ("PB28",)
    reading = read("PB29, 28")
    assert reading.codes == ("PB29",)
    assert options(reading) == ["PB28", ""]


@pytest.mark.parametrize("text", ["PR254, PR N/A", "PR254 + N/A", "PR254 + dye", "PR254 and others", "dye + PR254"])
def test_a_further_pigment_without_a_code_is_unknown_and_not_lost(read, text):
    reading = read(text)
    assert reading.codes == ("PR254",)
    assert reading.incomplete
    assert reading.single_pigment is None
    assert "is unknown" in doubt_of(reading, "left-aside").message


def test_words_of_a_pigments_own_name_are_its_note(read):
    reading = read("PB29, ultramarine; made in a mill")
    assert reading.pigments[0].note == "ultramarine"
    assert reading.single_pigment is True
    assert kinds(reading) == ["left-aside"]


# Numbers


@pytest.mark.parametrize("text", ["77007", "C.I. 77007", "CI 77007", "CI77007", "c.i. 77007", "C.I. No. 77007"])
def test_a_number_alone_is_asked(read, text):
    reading = read(text)
    assert reading.codes == ()
    assert {"PB29", "PV15"} <= set(options(reading))
    assert "PB29 (ultramarine blue)" in reading.doubts[0].message
    assert read(text, chosen={reading.doubts[0].key: "PV15"}).codes == ("PV15",)


def test_a_number_with_a_colour_in_the_name_asks_the_fitting_one_first(read):
    assert options(read("77007", "Ultramarine Violet"))[0] == "PV15"
    assert options(read("77007", "French Ultramarine Blue"))[0] == "PB29"


def test_numbers_are_checked_against_codes_as_sets(read):
    reading = read("PW6, PB29, 77007, 77891")
    assert [(p.code, p.numbers) for p in reading.pigments] == [("PW6", ("77891",)), ("PB29", ("77007",))]
    reading = read("PBr7 (77492, 77491)", "Raw Umber")
    assert reading.pigments[0].numbers == ("77492", "77491")
    assert reading.is_settled


@pytest.mark.parametrize(
    ("text", "code", "others"),
    [("PB29, 77004", "PB29", ["PW19"]), ("PY35 77205:1", "PY35", ["PY35:1"]), ("PY35:1 77205", "PY35:1", ["PY35"]),
     ("Pigment Blue 15:3 (74260)", "PB15:3", ["PG7"])],
)  # fmt: skip
def test_a_conflict_of_code_and_number_is_shown_and_not_resolved(read, text, code, others):
    reading = read(text)
    assert reading.codes == ()
    assert kinds(reading) == ["number-conflict"]
    assert options(reading) == [code, *others, *(f"{code}+{other}" for other in others)]
    assert read(text, chosen={reading.doubts[0].key: f"{code}+{others[0]}"}).codes[:2] == (code, others[0])


def test_a_number_without_its_sub_number_agrees_with_the_only_code_that_has_it(read):
    assert read("PR57:1 15850").codes == ("PR57:1",)


def test_a_number_that_nobody_has_is_noted(read):
    """PO20 is also quoted with 77196; the code stands."""
    reading = read("PO20 77196")
    assert reading.codes == ("PO20",)
    assert kinds(reading, Severity.NOTE) == ["number-unknown"]


def test_a_cas_number_is_no_constitution_number(read):
    reading = read("PB29 57455-37-5")
    assert reading.codes == ("PB29",)
    assert reading.pigments[0].note == "57455-37-5"


# Codes that are none


def test_a_slip_of_the_finger_gets_a_suggestion_and_waits(read):
    reading = read("Pww6")
    assert reading.codes == ()
    assert options(reading)[0] == "PW6"
    assert "Did you mean PW6?" in reading.doubts[0].message
    assert read("Pww6", chosen={"not-a-code:Pww6": "PW6"}).codes == ("PW6",)
    assert read("Pww6", chosen={"not-a-code:Pww6": ""}).unknown


def test_the_colour_in_the_name_sorts_the_suggestions(read):
    reading = read("PW97", "Hansa Yellow Medium")
    assert reading.codes == ()
    assert options(reading)[0] == "PY97"
    assert "Did you mean PY97? The name “Hansa Yellow Medium” says yellow." in reading.doubts[0].message
    assert options(reading)[-1] == "PW97"


def test_a_code_that_other_lists_give_for_the_tube_comes_first(read):
    reading = read("PBr57, PY151", "Aureolin Hue", elsewhere={"PBr7"})
    assert reading.codes == ("PY151",)
    assert options(reading)[0] == "PBr7"
    assert "The same tube is listed with PBr7 elsewhere." in reading.doubts[0].message


@pytest.mark.parametrize(
    ("text", "meant"),
    [("PB153", "PB15:3"), ("PR2549", "PR254"), ("PB92", "PB29"), ("PPB29", "PB29"), ("PG77", "PG7"), ("P29", "PB29"),
     ("PY42/43", "PY42+PY43"), ("PB29:7", "PB29")],
)  # fmt: skip
def test_other_slips(read, text, meant):
    reading = read(text)
    assert reading.codes == ()
    assert meant in options(reading)


def test_a_kept_unknown_code_says_that_nothing_is_known(read):
    reading = read("PY61", chosen={"unknown-code:PY61": "PY61"})
    assert reading.codes == ("PY61",)
    assert reading.pigments[0].listed is False
    assert reading.is_settled


def test_an_answer_that_fits_nothing_leaves_the_question_open(read):
    assert not read("PW97", chosen={"unknown-code:PW97": "XX1"}).is_settled


def test_a_dye_beside_a_pigment_is_kept_apart(read):
    reading = read("PR122, BV10")
    assert reading.codes == ("PR122",)
    assert "dye" in reading.unresolved[0].doubt.message
    assert read("Basic Violet 10").unresolved[0].options[-1].value == "BV10"


@pytest.mark.parametrize("text", ["004", "094", "W035W235", "#6000684", "@x", "-1", "+++", "37 ml", "see tube", "x.y"])
def test_text_without_a_code_is_unknown_and_kept(read, text):
    reading = read(text)
    assert reading.unknown
    assert reading.text == text


@pytest.mark.parametrize(
    "text",
    ["", " ", "N/A", "n.a.", "NA", "none", "None", "-", "--", "---", "–", "?", "PR N/A", "PB n/a", "unknown",
     "not known", "not listed", "CI: none", "\u00a0", "k.A.", "unbekannt"],
)  # fmt: skip
def test_nothing_named_is_unknown(read, text):
    reading = read(text, "Sap Green")
    assert reading.unknown
    assert reading.pigments == ()
    assert reading.single_pigment is None
    assert kinds(reading) == ["no-code"]


def test_a_name_in_place_of_a_code_is_asked(read):
    reading = read("titanium white")
    assert reading.codes == ()
    assert options(reading) == ["PW6", ""]


# Fillers


def test_a_filler_in_words_is_no_pigment(read):
    reading = read("(CALCIUM_CARBONATE_BASE), PB29")
    assert reading.codes == ("PB29",)
    assert [filler.as_typed for filler in reading.fillers] == ["CALCIUM_CARBONATE_BASE"]
    assert reading.single_pigment is True


@pytest.mark.parametrize(
    "text", ["PB29, chalk", "PB29 + barium sulfate", "PB29; Blanc Fixe", "PB29 (alumina hydrate)", "PB29, silica, talc"]
)
def test_other_fillers(read, text):
    reading = read(text)
    assert reading.codes == ("PB29",)
    assert reading.fillers


def test_a_filler_alone_leaves_the_pigment_unknown(read):
    reading = read("calcium carbonate")
    assert reading.unknown
    assert reading.fillers


@pytest.mark.parametrize("code", ["PW18", "PW19", "PW20", "PW21", "PW22", "PW24", "PW25", "PW26", "PW27"])
def test_extenders_with_a_code_keep_their_place_and_give_no_colour(read, code):
    reading = read(f"{code}, PB29")
    assert reading.codes == (code, "PB29")
    assert [p.extender for p in reading.pigments] == [True, False]
    assert reading.single_pigment is True
    assert reading.colouring == ("PB29",)


def test_the_name_of_an_extender_beside_its_code_is_its_note(read):
    reading = read("PW18 (chalk), PB29")
    assert reading.fillers == ()
    assert reading.pigments[0].note == "chalk"


def test_a_typed_single_pigment_is_compared(read):
    assert check_single_pigment("yes", read("PB29")) is None
    assert check_single_pigment("", read("PB29, PG7")) is None
    assert check_single_pigment("yes", read("PB29, PW18")) is None
    doubt = check_single_pigment("yes", read("PB29, PG7"))
    assert doubt is not None
    assert doubt.value == "yes"
    assert "PB29, PG7 are several pigments" in doubt.message
    other = check_single_pigment("no", read("PB29"))
    assert other is not None
    assert "is one pigment" in other.message


# The name never overrides the code


@pytest.mark.parametrize("name", ["Cadmium Yellow Hue", "Cadmium yellow imitation", "Kadmiumgelb Imit."])
def test_a_hue_with_a_cadmium_code_is_cadmium(read, vocabulary, name):
    reading = read("PY35", name)
    assert reading.codes == ("PY35",)
    assert "Cd" in vocabulary.metals("PY35")
    doubt = doubt_of(reading, "name-hue")
    assert "counts as one with cadmium" in doubt.message
    assert "check the code on the tube" in doubt.message


@pytest.mark.parametrize("name", ["Cadmium-Free Yellow", "Yellow without cadmium", "Kadmiumfreies Gelb"])
def test_a_cadmium_free_name_with_a_cadmium_code_is_cadmium(read, name):
    reading = read("PY35", name)
    assert reading.codes == ("PY35",)
    assert "name-free" in kinds(reading)


def test_a_cadmium_hue_without_cadmium(read, vocabulary):
    reading = read("PR112 + PR5", "Cadmium Red Medium Hue")
    assert reading.codes == ("PR112", "PR5")
    assert not any("Cd" in vocabulary.metals(code) for code in reading.codes)
    message = doubt_of(reading, "name-metal").message
    assert "no listed pigment (PR112, PR5) contains cadmium" in message
    assert "safe" not in message


def test_a_cadmium_free_name_without_a_code_is_unknown(read):
    reading = read("", "Cadmium-Free Red")
    assert reading.unknown
    message = doubt_of(reading, "no-code").message
    assert "unknown" in message
    assert "data sheet" in message
    assert "safe" not in message


@pytest.mark.parametrize(("text", "name"), [("PV16 -- Phthalo turquoise", ""), ("PV16", "Phthalo Turquoise")])
def test_a_colour_that_the_code_does_not_have_is_flagged(read, text, name):
    reading = read(text, name)
    assert reading.codes == ("PV16",)
    doubt = doubt_of(reading, "name-colour")
    assert "Did you mean PB16" in doubt.message
    assert [option.value for option in doubt.options] == ["PB16", "PV16"]
    assert read(text, name, chosen={doubt.key: "PB16"}).codes == ("PB16",)
    assert "name-colour" not in kinds(read(text, name, chosen={doubt.key: "PV16"}))


@pytest.mark.parametrize(
    ("text", "name"),
    [("PY129", "Green Gold"), ("PBk31", "Perylene Green"), ("PR101", "Mars Violet"), ("PG7, PY150", "Sap Green"),
     ("PB29, PV19", "Purple"), ("PB29, PBk7", "Payne's Grey"), ("PBr7", "Umbra grünlich"),
     ("PO48", "Quinacridone Gold"), ("PW6, PR112", "Pink"), ("PG50", "Cobalt Teal"), ("PB28", "Kobaltblau")],
)  # fmt: skip
def test_usual_names_are_not_flagged(read, text, name):
    assert "name-colour" not in kinds(read(text, name))


def test_white_mixed_in_does_not_hide_a_wrong_colour(read):
    assert "name-colour" in kinds(read("PW6, PR112", "Sky Blue"))


# Several colours under one code


@pytest.mark.parametrize("shade", ["raw sienna", "burnt sienna", "raw umber", "burnt umber"])
def test_the_name_tells_the_earths_of_one_code_apart(read, shade):
    reading = read("PBr7", shade.title())
    assert reading.pigments[0].shade == shade
    assert reading.is_settled


def test_an_unnamed_earth_is_asked(read):
    reading = read("PBr7")
    assert reading.codes == ("PBr7",)
    assert not reading.is_settled
    doubt = doubt_of(reading, "shade")
    assert [option.value for option in doubt.options] == [
        "raw sienna", "burnt sienna", "raw umber", "burnt umber", "",
    ]  # fmt: skip
    assert read("PBr7", chosen={doubt.key: "raw umber"}).pigments[0].shade == "raw umber"
    unnamed = read("PBr7", chosen={doubt.key: ""})
    assert unnamed.is_settled
    assert unnamed.pigments[0].shade is None


@pytest.mark.parametrize(
    ("name", "shade"),
    [("Quinacridone Rose", "quinacridone rose"), ("Permanent Rose", "quinacridone rose"),
     ("Quinacridone Violet", "quinacridone violet")],
)  # fmt: skip
def test_two_colours_of_one_quinacridone(read, name, shade):
    assert read("PV19", name).pigments[0].shade == shade


def test_a_mixture_does_not_ask_for_shades(read):
    reading = read("PR177 + PV19 + PR149", "Permanent Alizarin")
    assert reading.is_settled
    assert doubt_of(reading, "shade").severity is Severity.NOTE


def test_shades_are_those_of_the_caller():
    from inventory.labels import KnownPigment, Vocabulary

    small = Vocabulary([KnownPigment("PBr7", hue_family="brown")])
    assert read_pigments("PBr7", vocabulary=small).is_settled


def test_near_substitutes_stay_two_codes(read, vocabulary):
    assert read("PY42", "Yellow Ochre").codes == ("PY42",)
    assert read("PY43", "Yellow Ochre").codes == ("PY43",)
    assert [near.code for near in vocabulary.near_codes("PY42")] == ["PY43"]
    assert "makers swap the labels" in vocabulary.near_codes("PY43")[0].message
    assert vocabulary.near_codes("PB29") == ()
    assert vocabulary.near_codes("PB999") == ()


def test_every_doubt_says_what_was_typed_and_what_to_do(read):
    for text in ["PW97", "77007", "PB15", "Pww6", "PB29, 77004", "PR83 or PR177", "PBr7", "PB15.3"]:
        for doubt in read(text).doubts:
            assert doubt.message.endswith(".")
            assert doubt.value
            assert doubt.severity is not Severity.ASK or len(doubt.options) > 1

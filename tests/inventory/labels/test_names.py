"""What names claim; names are generic trade names, common practice, no source."""

import pytest

from inventory.labels import check_letters, name_claims, search_key, shade_of


@pytest.mark.parametrize(
    ("name", "hue", "free", "permanent"),
    [("Cadmium Red Medium Hue", True, (), False), ("Cadmium-Free Red", False, ("cadmium",), False),
     ("Permanent Alizarin", False, (), True), ("Naples Yellow Imitation", True, (), False),
     ("Lead free white", False, ("lead",), False), ("Kobaltblau Imit.", True, (), False),
     ("Rouge sans cadmium", False, ("cadmium",), False), ("Ultramarine Blue", False, (), False)],
)  # fmt: skip
def test_claims(name, hue, free, permanent):
    claims = name_claims(name)
    assert claims.says_hue is hue
    assert tuple(claim.name for claim in claims.free_of) == free
    assert claims.says_permanent is permanent


@pytest.mark.parametrize(
    ("name", "metals"),
    [("Cadmium Red", ["Cd"]), ("Flake White", ["Pb"]), ("Cerulean Blue", ["Co"]), ("Vermilion", ["Hg"]),
     ("Naples Yellow", ["Pb", "Sb"]), ("Kadmiumrot", ["Cd"]), ("Chromatic Black", []), ("Cadmium-free Red", []),
     ("Красная кадмий", ["Cd"])],
)  # fmt: skip
def test_traditional_words_name_metals(name, metals):
    assert [metal for claim in name_claims(name).metals for metal in claim.metals] == metals


@pytest.mark.parametrize(
    ("name", "colours"),
    [("Hansa Yellow Medium", ("yellow",)), ("Ocre dorée", ("ochre",)), ("Umbra grünlich", ("umber", "green")),
     ("Kobaltblau", ("blue",)), ("Payne’s Gray", ("grey",)), ("Vert Émeraude", ("green",)), ("Синяя", ("blue",))],
)  # fmt: skip
def test_colour_words_in_several_languages(name, colours):
    assert name_claims(name).colours == colours


def test_shades_by_their_own_words():
    shades = {"PBr7": ("raw sienna", "burnt sienna", "raw umber", "burnt umber")}
    assert shade_of("PBr7", "Burnt Umber Deep", shades).shade == "burnt umber"
    assert shade_of("PBr7", "Umber", shades).options == ("raw umber", "burnt umber")
    assert shade_of("PBr7", "Earth", shades).options == shades["PBr7"]
    assert shade_of("PB29", "Blue", shades).options == ()


def test_a_shade_needs_all_its_words_when_a_shorter_one_shares_them():
    shades = {"X": ("cadmium yellow", "cadmium yellow deep")}
    assert shade_of("X", "Cadmium Yellow Deep", shades).shade == "cadmium yellow deep"
    assert shade_of("X", "Cadmium Yellow", shades).shade == "cadmium yellow"


@pytest.mark.parametrize(
    "text", ["PB29", "pb 29", "P.B.29", "РВ29", "рв 29", "ＰＢ２９", "PB\u00a029", "PB–29", "ΡΒ29", "PB-29"]
)
def test_one_search_finds_every_writing_of_a_code(text):
    assert search_key(text) == search_key("PB29") == "pb29"


@pytest.mark.parametrize(
    ("typed", "query"),
    [("Ocre dorée", "ocre doree"), ("Payne’s Gray", "payne's gray"), ("Umbra grünlich", "UMBRA GRUNLICH"),
     ("Краплак красный РВ29", "краплак"), ("Краплак красный РВ29", "PB29"), ("Синяя ФЦ", "синяя"), ("Ёлка", "елка"),
     ("PB15 : 3", "pb15:3"), ("Strong  spaces", "strong spaces"), ("Weiß", "WEISS"), ("Alizarin Crimson", "alizarin"),
     ("Permanent Alizarin", "ALIZARIN")],
)  # fmt: skip
def test_search_finds(typed, query):
    assert search_key(query) in search_key(typed)


def test_words_of_other_scripts_are_not_turned_into_latin():
    assert search_key("Красная охра") == "красная охра"
    assert search_key("Синий") == "синий"


@pytest.mark.parametrize("right", ["Ocre dorée", "Umbra grünlich", "Payne’s Gray", "Краплак", "Jaune d’Inde"])
def test_a_wrong_character_table_is_asked_back(right):
    garbled = right.encode("utf-8").decode("cp1252", errors="ignore")
    assert check_letters(right) is None
    if garbled.encode("cp1252", errors="ignore").decode("utf-8", errors="ignore") == right:
        doubt = check_letters(garbled)
        assert doubt is not None
        assert doubt.options[0].value == right
        assert doubt.options[1].value == garbled


def test_lost_letters_are_said():
    doubt = check_letters("Umbra gr\ufffdnlich")
    assert doubt is not None
    assert "has lost letters" in doubt.message

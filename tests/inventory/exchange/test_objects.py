"""JSON lists of objects (RFC 8259) as tables."""

import json
import re

import pytest

from inventory.exchange import FileRefusedError, guess_columns, read_table


def read(text, name="list.json"):
    return read_table(text.encode(), name)


def test_a_list_of_objects_is_a_table_with_its_values_as_typed():
    table = read('[{"name": "Ultramarin", "code": "004", "size ml": 37.50}, {"name": "Ocker", "sealed": 2, "x": null}]')
    assert table.columns == ("name", "code", "size ml", "sealed", "x")
    assert [(row.line, row.cells) for row in table.rows] == [
        (1, ("Ultramarin", "004", "37.50", "", "")),
        (2, ("Ocker", "", "", "2", "")),
    ]
    assert guess_columns(table.columns, [row.cells for row in table.rows])["1"] == "maker_code"


def test_an_object_around_the_list_and_a_pasted_text_are_read_too():
    assert read('{"shelf": [{"name": "Umber", "bold": true}]}', "list.txt").rows[0].cells == ("Umber", "true")


def test_letters_and_line_breaks_come_back_as_typed():
    cells = ("Neapelgelb\nrötlich", "=PB29", "Ультрамарин", "'quoted")
    table = read(json.dumps([dict(zip("abcd", cells, strict=True))] * 2))
    assert table.rows[1].cells == cells


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (
            '[{"pigment": "PY3", "name": "A", "pigment": "PG7"}, {"name": "B"}, '
            '{"pigment": 1, "pigment": 2, "pigment": 3}]',
            "in 2 objects \\(number 1, 3\\) the same key stands more than once: “pigment” 5 times",
        ),
        ('[{"a": 1, "a": 2, "b": 3, "b": 4}]', "in 1 object \\(number 1\\) .*: “a” 2 times, “b” 2 times"),
        ('{"rows": [], "rows": []}', "in its object the same key stands more than once: “rows” 2 times"),
        (
            '[{"name": "A"}, {"name": "B", "pigments": ["PG7", "PY150"], "maker": {"name": "x"}}]',
            "2 of 3 keys hold a list or .*: “pigments” \\(first in object 2\\), “maker” \\(first in object 2\\)",
        ),
        ('[{"name": "A"}, "B"]', "number 2 of the list is a text, and no object"),
        ('[{"name": "A"}, 4]', "number 2 of the list is a number, and no object"),
        ("{}", "one object with 0 lists in it"),
        ("[]", "is an empty list"),
        ('"Umber"', "holds a text, and no list"),
        ("[{}]", "objects without any key"),
        ('[{"name": "A",}]', "is broken JSON at line 1, character"),
        ('[{"left": NaN}]', "holds NaN, which is no value of JSON"),
        ("[" * 100_000, "nests lists or objects too deep|is broken JSON"),
    ],
)
def test_what_is_no_list_of_paints_is_refused_with_its_place(text, words):
    with pytest.raises(FileRefusedError) as refused:
        read(text)
    assert re.search(words, str(refused.value)), str(refused.value)


def test_a_list_of_a_table_that_begins_with_a_bracket_stays_a_table():
    table = read("[mine];Name;Pigments\n1;Umber;PBr7", "list.csv")
    assert table.columns == ("[mine]", "Name", "Pigments")

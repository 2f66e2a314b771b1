"""What is a table and what is not, and the letters of one."""

import io
import zipfile

import pytest

from inventory.exchange import LARGEST_CELL, FileRefusedError, read_table, read_text, recode

LIST = "\r\n".join(
    ("Name;Pigment(s);Größe", "Ocre dorée;PY43;37,5 ml", "Umbra grünlich;PBr7;37,5 ml", "Payne’s Gray;PB29, PBk9;40 ml")
)


def names(table):
    return [row.cells[0] for row in table.rows]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"])
def test_letters_come_out_right_in_every_encoding(encoding):
    table = read_table(LIST.encode(encoding), "list.csv")
    assert table.columns == ("Name", "Pigment(s)", "Größe")
    assert names(table) == ["Ocre dorée", "Umbra grünlich", "Payne’s Gray"]


def test_utf_16_with_the_big_end_first_is_read_by_its_mark():
    assert names(read_table(b"\xfe\xff" + LIST.encode("utf-16-be"), "list.csv"))[0] == "Ocre dorée"


def test_one_byte_letters_are_asked_with_words_from_the_file():
    letters = read_table(LIST.encode("cp1252"), "list.csv").letters
    assert letters[0].encoding == "cp1252"
    assert "dorée" in letters[0].sample
    assert len(letters) > 1
    assert read_table(LIST.encode(), "list.csv").letters == ()


def test_cyrillic_of_one_byte_is_not_read_as_western():
    text = "Название,Пигмент\r\nУльтрамарин синий,PB29\r\nОхра красная,PR101\r\n"
    table = read_table(text.encode("cp1251"), "list.csv")
    assert names(table) == ["Ультрамарин синий", "Охра красная"]


def test_letters_can_be_read_by_another_table_without_loss():
    wrong = "Žlutá kadmiová řada".encode("cp1250").decode("cp1252")
    assert recode(wrong, "cp1252", "cp1250") == "Žlutá kadmiová řada"


def test_utf_8_that_was_read_as_western_once_is_asked():
    table = read_table(LIST.encode().decode("cp1252").encode(), "list.csv")
    assert [choice.encoding for choice in table.letters] == ["utf-8", "mended"]
    assert recode(table.rows[0].cells[0], "utf-8", "mended") == "Ocre dorée"


def zipped(**files):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as package:
        for name, content in files.items():
            package.writestr(name, content)
    return out.getvalue()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "is empty"),
        (b"\xef\xbb\xbf\r\n \r\n", "is empty"),
        (b"%PDF-1.7\n%\xe2\xe3", "is a PDF document"),
        (b"\x89PNG\r\n\x1a\n" + bytes(range(256)), "is a picture"),
        (b"\xff\xd8\xff\xe0" + bytes(100) + b"x", "is a picture"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(50) + b"x", "old binary kind"),
        (b"<!DOCTYPE html><html><table>", "is a web page"),
        (zipped(readme="x"), "is a packed folder"),
        (zipped(mimetype="application/vnd.oasis.opendocument.spreadsheet"), "OpenDocument"),
        (b"PK\x03\x04broken", "broken"),
        (bytes(range(256)) * 8, "not a text"),
        (b"x" * (10 * 1024 * 1024 + 1), "more than the 10 MB"),
        (b"Name,Notes\nWhite,\"" + b"x" * 1_048_576 + b'"\n', "cell 2 of line 2 has 1048576 characters"),
        (b'Name,Notes\nWhite,"not closed\nBlue,x\n', "quotation mark that opens in line 2 is never closed"),
        (b'Name,Notes\nWhite,"a" b\n', "in line 2, text follows a closing quotation mark"),
        (b"Name,Pigments\n", "no row below"),
        (b"a," * 300 + b"\n", "more than the 200 columns"),
    ],
)  # fmt: skip
def test_what_is_no_table_is_named_with_a_remedy(data, words):
    with pytest.raises(FileRefusedError) as caught:
        read_table(data, "list.csv")
    message = str(caught.value)
    assert message.startswith("list.csv")
    assert words in message
    assert message.count(". ") + message.count(", or ") >= 1 or "Shorten" in message or "Close it" in message


def test_too_many_rows_are_refused():
    with pytest.raises(FileRefusedError, match="more than 20000 rows"):
        read_text("Name,Pigments\n" + "White,PW6\n" * 20_001, "list.csv")


def test_the_largest_cell_is_still_read():
    text = "x" * LARGEST_CELL
    assert read_text(f"Name,Notes\nWhite,{text}\n", "list.csv").rows[0].cells[1] == text


def test_a_wrong_encoding_by_choice_is_refused():
    with pytest.raises(FileRefusedError, match="not written in UTF-8"):
        read_table(LIST.encode("cp1252"), "list.csv", encoding="utf-8")

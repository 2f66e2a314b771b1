"""Many notices in one file, read back."""

from dataclasses import replace
from io import BytesIO

import pytest
from pypdf import PdfReader

from safety.printing import book
from tests.safety.printing.test_printed_notice import NOTICES

CONTENTS = [*NOTICES.values()] * 4


def read(contents, **options):
    return PdfReader(BytesIO(book.render(contents, **options)))


def test_the_table_of_contents_leads_to_each_notice():
    reader = read(CONTENTS)
    entries = [(one.title, reader.get_destination_page_number(one)) for one in reader.outline]
    assert entries[0] == ("Contents", 0)
    assert [title for title, _ in entries[1:]] == [one.title for one in CONTENTS]
    front = "".join(page.extract_text() for page in reader.pages[: entries[1][1]])
    for given, (_, number) in zip(CONTENTS, entries[1:], strict=True):
        words = reader.pages[number].extract_text()
        assert f"Fingerprint {given.fingerprint}" in words
        assert "Page 1 of" in words
        assert str(number + 1) in front


def test_links_of_the_contents_point_at_the_page_they_print():
    reader = read(CONTENTS)
    links = [link.get_object() for page in reader.pages[:2] for link in page.get("/Annots", [])]
    assert len(links) == len(CONTENTS)


def test_each_sign_is_stored_once():
    reader = read(CONTENTS)
    used = {sign for one in CONTENTS for sign in one.label.pictograms}
    stored = _forms(reader)
    assert len(stored) == len(used)


def _forms(reader):
    return {
        number
        for number in range(1, len(reader.xref[0]) + 1)
        if (one := reader.get_object(number)) is not None and isinstance(one, dict) and one.get("/Subtype") == "/Form"
    }


def test_progress_counts_to_the_end():
    seen = []
    book.render(CONTENTS[:3], progress=lambda done, total: seen.append((done, total)))
    assert seen == [(1, 3), (2, 3), (3, 3)]


def test_an_empty_book_is_refused():
    with pytest.raises(ValueError, match="at least one notice"):
        book.render([])


def test_long_titles_do_not_push_the_contents_off_the_page():
    long = replace(NOTICES["sheet"], title="Very long name " * 60)
    reader = read([long] * 12, page_size="Letter")
    entries = [reader.get_destination_page_number(one) for one in reader.outline]
    assert len(set(entries)) == 13
    assert "Page 1 of" in reader.pages[entries[1]].extract_text()


def test_the_same_notices_give_the_same_bytes():
    assert book.render(CONTENTS[:4]) == book.render(CONTENTS[:4])

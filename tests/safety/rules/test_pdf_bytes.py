"""A PDF is told by its bytes, whatever a file is called."""

import gzip
import io
import zipfile

import pytest

from safety.rules.pdf_bytes import HEAD, LARGEST, TAIL, problem
from studio.uploads import LARGEST_UPLOAD
from tests.safety.sheet_files import PDF


def told(data, size=None):
    return problem(data[:HEAD], data[-TAIL:], len(data) if size is None else size)


def zipped():
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("zeros", b"\0" * 10_000_000)
    return file.getvalue()


def test_a_pdf_is_kept():
    assert told(PDF) == ""


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "The file is empty."),
        (b"MZ\x90\x00" + PDF, "a program for Windows, not a PDF, whatever its name says"),
        (b"\x7fELF\x02" + b"\0" * 100, "a program for Linux"),
        (b"#!/bin/sh\necho\n", "a script"),
        (zipped(), "a ZIP archive"),
        (gzip.compress(b"\0" * 1_000_000), "a compressed file (gzip)"),
        (b"<!DOCTYPE html><title>Sheet</title>", "a web page"),
        (b"\xef\xbb\xbf <html>", "a web page"),
        (b"junk\n" + PDF, "something with a PDF behind it"),
        (PDF[:-30], "The PDF has no end"),
        (PDF + b"\0" * 2000, "The PDF has no end"),
        (PDF[:-10] + zipped() + b"%%EOF", "a PDF and a ZIP archive at once"),
        (b"%PDF-1.4\n<html><script>alert(1)</script></html>\n%%EOF", "goes on as a web page"),
    ],
)
def test_what_is_not_only_a_pdf_is_refused_with_the_remedy(data, said):
    answer = told(data)
    assert said in answer
    assert "PDF" in answer


def test_the_limit_is_told_and_no_larger_than_what_is_taken_in():
    assert "200.0 MB, more than the 20 MB" in told(PDF, 200 * 1024 * 1024)
    assert not told(PDF, LARGEST)
    assert LARGEST <= LARGEST_UPLOAD

"""Whether bytes are a PDF and nothing else beside it, as far as its first and last bytes tell.

What this does not do: it opens no stream of the file, so it neither unpacks what is compressed there nor finds a
script or an attachment inside; it does not say that the file shows pages. So a file is kept closed, is served as a
download and is never opened by the service itself.

Reference: ISO 32000-1:2008, 7.5.2 (header) and 7.5.5 (end of file); PKWARE APPNOTE 4.3.16 for the end of a ZIP.
"""

# The largest sheet that is kept. A maker's sheet of thirty pages with pictures has about 2 MB (common practice).
LARGEST = 20 * 1024 * 1024
HEAD = 1024
# The end record of a ZIP has 22 bytes and a comment of at most 65535; it stands last in the file.
TAIL = 22 + 65_535

_STARTS = (
    (b"MZ", "a program for Windows"),
    (b"\x7fELF", "a program for Linux"),
    (b"\xcf\xfa\xed\xfe", "a program for macOS"),
    (b"#!", "a script"),
    (b"PK\x03\x04", "a ZIP archive or an office document"),
    (b"PK\x05\x06", "an empty ZIP archive"),
    (b"\x1f\x8b", "a compressed file (gzip)"),
    (b"Rar!", "an archive (RAR)"),
    (b"7z\xbc\xaf\x27\x1c", "an archive (7z)"),
    (b"\x89PNG", "a picture (PNG)"),
    (b"\xff\xd8\xff", "a picture (JPEG)"),
    (b"\xd0\xcf\x11\xe0", "an old office document"),
)
_REMEDY = "Save the maker's sheet as a PDF, or print it to PDF, and give that."


def problem(head: bytes, tail: bytes, size: int) -> str:
    """What is wrong with a file, in a sentence with the remedy; "" for one that may be kept.

    `head` and `tail` are its first HEAD and last TAIL bytes, or all of a shorter one.
    """
    if not size:
        return f"The file is empty. {_REMEDY}"
    if size > LARGEST:
        return too_large(size)
    if not head.startswith(b"%PDF-"):
        return f"The file is {_what(head)}, not a PDF, whatever its name says. {_REMEDY}"
    if b"%%EOF" not in tail[-1024:]:
        return f"The PDF has no end: it was cut off, or something was added to it. Fetch it again. {_REMEDY}"
    if b"PK\x05\x06" in tail:
        return f"The file is a PDF and a ZIP archive at once, which no maker's sheet is. {_REMEDY}"
    if any(mark in head.lower() for mark in (b"<html", b"<script", b"<!doctype")):
        return f"The file begins as a PDF and goes on as a web page. {_REMEDY}"
    return ""


def too_large(size: int | None) -> str:
    """The refusal of a file above the limit; the size where it is known."""
    has = f" has {size / 1_048_576:.1f} MB," if size else " is"
    return (
        f"The file{has} more than the {LARGEST // 1_048_576} MB that are kept. Print only the sheet's own pages to "
        "PDF, or ask the maker for a smaller file."
    )


def _what(head: bytes) -> str:
    for start, words in _STARTS:
        if head.startswith(start):
            return words
    text = head.lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    if text.startswith((b"<html", b"<!doctype", b"<?xml", b"<script", b"<svg")):
        return "a web page"
    if b"%PDF-" in head:
        return "something with a PDF behind it"
    return "something else" if b"\x00" in head else "a text or something else"

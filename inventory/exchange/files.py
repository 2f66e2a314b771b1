"""What a file is, and which letters its bytes stand for. What is no table is refused, with what it is and a remedy."""

import re
from dataclasses import dataclass

LARGEST_FILE = 10 * 1024 * 1024
LARGEST_CELL = 32_767  # what a spreadsheet's cell can hold (ECMA-376 implementations share this limit)
MOST_ROWS = 20_000
MOST_COLUMNS = 200

# Single-byte tables that a list may have been saved in, most likely first.
ENCODINGS = {
    "utf-8": "UTF-8",
    "utf-16": "UTF-16",
    "cp1252": "Western European (Windows-1252, Latin-1)",
    "cp1250": "Central European (Windows-1250)",
    "cp1251": "Cyrillic (Windows-1251)",
    "cp1253": "Greek (Windows-1253)",
    "cp1254": "Turkish (Windows-1254)",
    "mac-roman": "Western European (Macintosh)",
    "cp850": "Western European (DOS 850)",
    "mended": "UTF-8 that was once read as Western European",
}
_ONE_BYTE = ("cp1252", "cp1250", "cp1251", "cp1253", "cp1254", "mac-roman", "cp850")


class FileRefusedError(ValueError):
    """This file cannot be read as a table; the message says what it is and what to do, fit for a page."""


@dataclass(frozen=True, slots=True)
class LetterChoice:
    """A way in which the letters can be read, with words from the file as they would look."""

    encoding: str
    label: str
    sample: str


@dataclass(frozen=True, slots=True)
class Decoded:
    """`choices` is empty where the letters are certain; else the first one was taken, and a person should look."""

    text: str
    encoding: str
    choices: tuple[LetterChoice, ...] = ()


_SAVE_AS = "Save the list as CSV or XLSX and give that file."
_KINDS: tuple[tuple[bytes, str], ...] = (
    (b"%PDF", f"is a PDF document, which has no cells. {_SAVE_AS}"),
    (b"\x89PNG", "is a picture (PNG), not a table. Type the list, or paste it as text."),
    (b"\xff\xd8\xff", "is a picture (JPEG), not a table. Type the list, or paste it as text."),
    (b"GIF8", "is a picture (GIF), not a table. Type the list, or paste it as text."),
    (b"RIFF", "is a picture or a sound, not a table. Type the list, or paste it as text."),
    (b"\xd0\xcf\x11\xe0", f"is a document of an old binary kind (XLS or DOC). {_SAVE_AS}"),
    (b"{\\rtf", f"is a formatted text (RTF). {_SAVE_AS}"),
    (b"\x1f\x8b", "is a compressed file (gzip). Unpack it and give the table inside."),
    (b"7z\xbc\xaf", "is a packed folder (7z). Unpack it and give the table inside."),
    (b"Rar!", "is a packed folder (RAR). Unpack it and give the table inside."),
    (b"\x7fELF", f"is a program, not a table. {_SAVE_AS}"),
    (b"MZ\x90", f"is a program, not a table. {_SAVE_AS}"),
)


def check_size(data: bytes, name: str) -> None:
    if not data.strip(b"\x00\xef\xbb\xbf\xff\xfe \t\r\n"):
        raise FileRefusedError(f"{name} is empty. Give a file with a line of headings and a line for each paint.")
    if len(data) > LARGEST_FILE:
        raise FileRefusedError(
            f"{name} has {len(data) / 1_048_576:.1f} MB, more than the {LARGEST_FILE // 1_048_576} MB that are read "
            "at once. Split it, or take pictures and unused sheets out."
        )


def refuse_other_kinds(data: bytes, name: str) -> None:
    """Refuse what is recognisably no text, whatever its name says."""
    for start, words in _KINDS:
        if data.startswith(start):
            raise FileRefusedError(f"{name} {words}")
    beginning = data[:300].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    if beginning.startswith((b"<!doctype html", b"<html", b"<?xml")):
        raise FileRefusedError(f"{name} is a web page or an XML document, not a table. {_SAVE_AS}")


def decode(data: bytes, name: str, encoding: str = "") -> Decoded:
    """Turn bytes into text. What is neither UTF-8 nor UTF-16 is read by the likeliest table, and that is asked."""
    if encoding and encoding != "mended":
        try:
            return _checked(Decoded(data.decode(encoding), encoding), name)
        except (UnicodeDecodeError, LookupError):
            raise FileRefusedError(
                f"{name} is not written in {ENCODINGS.get(encoding, encoding)}: some of its bytes stand for nothing "
                "there. Choose another, or let the file be looked at."
            ) from None
    unicode_text = _unicode(data)
    if unicode_text is not None:
        text, found = unicode_text
        return _checked(Decoded(text, found, _mended_choices(text, found)), name)
    return _checked(_one_byte(data, name), name)


def _unicode(data: bytes) -> tuple[str, str] | None:
    for mark, encoding in ((b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"), (b"\xef\xbb\xbf", "utf-8-sig")):
        if data.startswith(mark):
            try:
                return data.decode(encoding), encoding.removesuffix("-sig")
            except UnicodeDecodeError:
                return None
    head = data[:4000]
    if len(data) % 2 == 0 and head.count(0) > len(head) // 4:
        little = head[1::2].count(0) > head[::2].count(0)
        try:
            return data.decode("utf-16-le" if little else "utf-16-be"), "utf-16"
        except UnicodeDecodeError:
            return None
    try:
        return data.decode("utf-8"), "utf-8"
    except UnicodeDecodeError:
        return None


def _checked(decoded: Decoded, name: str) -> Decoded:
    """Text has no control characters but tabs and line ends."""
    controls = len(re.findall("[\x00-\x08\x0e-\x1a\x1c-\x1f]", decoded.text))
    if "\x00" in decoded.text or controls > len(decoded.text) // 500 + 2:
        raise FileRefusedError(f"{name} is not a text: it holds bytes that no letter has. {_SAVE_AS}")
    return decoded


def _one_byte(data: bytes, name: str) -> Decoded:
    readable: list[tuple[float, int, str, str]] = []
    for place, encoding in enumerate(_ONE_BYTE):
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        readable.append((-_plausible(text), place, encoding, text))
    if not readable:
        raise FileRefusedError(f"{name} uses letters of an unknown table. Save it as UTF-8 and give it again.")
    readable.sort()
    choices = tuple(LetterChoice(encoding, ENCODINGS[encoding], sample(text)) for _, _, encoding, text in readable)
    distinct = tuple({choice.sample: choice for choice in reversed(choices)}.values())[::-1]
    return Decoded(readable[0][3], readable[0][2], distinct)


_WESTERN = frozenset("àâäáãåæçéèêëíìîïñóòôöõøœúùûüßÀÂÄÁÃÅÆÇÉÈÊËÍÎÏÑÓÔÖØŒÚÛÜšžŠŽ’‘“”–—…•°²³½¼¾€£®™«»´·\u00a0")
_WORD = re.compile(r"[^\W\d_]+")


def _plausible(text: str) -> float:
    """The share of letters beyond ASCII that stand as they do in words of a language; ours, no source."""
    strange = [character for character in text if not character.isascii()]
    if not strange:
        return 1.0
    cyrillic = sum(len(word) for word in _WORD.findall(text) if len(word) > 2 and _all_in(word, "\u0400", "\u04ff"))
    greek = sum(len(word) for word in _WORD.findall(text) if len(word) > 2 and _all_in(word, "\u0370", "\u03ff"))
    western = sum(1 for character in strange if character in _WESTERN)
    # A capital in the middle of a small word is a byte read by the wrong table.
    odd = len(re.findall(r"(?<=[^\W\d_])[·°²³¼½¾€£®™«»“”„…•¹](?=[^\W\d_])", text))
    odd += sum(1 for word in _WORD.findall(text) if re.search(r"[a-z][A-ZÀ-ÞŒŠŽА-ЯΑ-Ω]", word))
    return (max(western, cyrillic, greek) - odd) / len(strange)


def _all_in(word: str, low: str, high: str) -> bool:
    return all(low <= character <= high for character in word)


def sample(text: str, most: int = 6) -> str:
    """A few words with letters beyond ASCII, for a person to judge by."""
    words = dict.fromkeys(word for word in re.findall(r"[^\s,;\t\"]+", text) if not word.isascii())
    return ", ".join(list(words)[:most])[:160]


_TWICE = re.compile("[ÃÂ][\u0080-\u00bf\u0152-\u2122]|â€|Ð[\u0080-\u00bf\u0152-\u2122]")


def mend(text: str) -> str:
    """Undo one reading of UTF-8 as Western European; a text that was not so read stays as it is."""
    if text.isascii() or not _TWICE.search(text):
        return text
    try:
        return text.encode("cp1252").decode("utf-8")
    except UnicodeError:
        return text


def _mended_choices(text: str, found: str) -> tuple[LetterChoice, ...]:
    lines = [line for line in text.splitlines() if _TWICE.search(line)]
    mended = [mend(line) for line in lines]
    if not lines or mended == lines:
        return ()
    return (
        LetterChoice(found, "as the file has them", sample("\n".join(lines))),
        LetterChoice("mended", ENCODINGS["mended"], sample("\n".join(mended))),
    )


def recode(text: str, old: str, new: str) -> str:
    """A cell as it reads in another of the offered tables; ValueError where its letters have no bytes in the old one.

    A one-byte table gives each byte one letter, so nothing is lost on the way there and back.
    """
    if text.isascii() or old == new:
        return text
    if new == "mended":
        return mend(text)
    try:
        return text.encode(old).decode(new)
    except (UnicodeError, LookupError):
        raise ValueError(f"“{text[:60]}” cannot be read in {ENCODINGS.get(new, new)}.") from None

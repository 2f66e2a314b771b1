"""The number under a maker's bar code, and the addresses in our own printed codes.

Numbers are kept in one form, so that one article is found however it was scanned: GTIN-13 as 13 digits (a UPC-A has a
leading 0), GTIN-8 as 8, GTIN-14 as 14 unless it only fills a shorter number up with zeros.
"""

import re
from dataclasses import dataclass

from .doubts import shown
from .folding import plain

LONGEST = 300
_APART = re.compile(r"[ \-.]")
_OWN = re.compile(r"/s/([-\w]+)/(?:tubes/(\d{1,10})/?|shelf/\?place=(\d{1,18}))(?:[#&].*)?$", re.ASCII)
# A number written on a tube has at most so many digits: the shortest printed code has eight.
_TUBE_NUMBER = re.compile(r"\d{1,6}", re.ASCII)


class BarcodeError(ValueError):
    """What was typed is no such number; the message names the value and the remedy."""


@dataclass(frozen=True)
class Gtin:
    """A number whose check digit fits; `digits` is the form in which it is kept."""

    digits: str
    kind: str

    @property
    def words(self) -> str:
        """In the groups in which it is printed under the bars."""
        if len(self.digits) == 13:
            return f"{self.digits[0]} {self.digits[1:7]} {self.digits[7:]}"
        if len(self.digits) == 8:
            return f"{self.digits[:4]} {self.digits[4:]}"
        return self.digits

    @property
    def in_store(self) -> bool:
        """True for restricted circulation, GS1 prefixes 02 and 20 to 29: it means something in one shop alone."""
        return len(self.digits) == 13 and (self.digits.startswith("02") or "20" <= self.digits[:2] <= "29")


@dataclass(frozen=True)
class OwnCode:
    """A code that we printed: a tube by its number, or a place by its key, in the studio of this slug."""

    slug: str
    tube: int | None = None
    place: int | None = None


def check_digit(digits: str) -> int:
    """Return the check digit that follows these digits, of any length.

    From the right the digits count three times and once in turn; the check digit fills the sum up to tens.

    Raises
    ------
    ValueError
        If there is anything but the digits 0 to 9, or nothing.

    References
    ----------
    GS1 General Specifications, section 7.9.1.
    """
    if not (digits.isascii() and digits.isdigit()):
        raise ValueError(f"digits must be 0 to 9, not {digits!r}")
    total = sum(int(digit) * (3 if place % 2 == 0 else 1) for place, digit in enumerate(reversed(digits)))
    return -total % 10


def expanded(upc_e: str) -> str:
    """Return the UPC-A of 12 digits that a zero-suppressed UPC-E of 8 stands for.

    References
    ----------
    GS1 General Specifications, UPC-E bar codes: where the zeros were is told by the last digit before the check digit.
    """
    system, body, check = upc_e[0], upc_e[1:7], upc_e[7]
    last = body[5]
    if last in "012":
        middle = f"{body[:2]}{last}0000{body[2:5]}"
    elif last == "3":
        middle = f"{body[:3]}00000{body[3:5]}"
    elif last == "4":
        middle = f"{body[:4]}00000{body[4]}"
    else:
        middle = f"{body[:5]}0000{last}"
    return f"{system}{middle}{check}"


def _fits(digits: str) -> bool:
    return check_digit(digits[:-1]) == int(digits[-1])


KINDS = {8: "EAN-8", 12: "UPC-A", 13: "EAN-13", 14: "GTIN-14"}


def read_gtin(text: str) -> Gtin:
    """Read the number of a bar code as it was typed or as a scanner sends it.

    Raises
    ------
    BarcodeError
        For other letters, another length, and a check digit that does not fit, with the one that would.
    """
    digits = _APART.sub("", plain(text[:LONGEST]))
    if not digits:
        raise BarcodeError("Scan or type the digits under the bars.")
    if not (digits.isascii() and digits.isdigit()):
        raise BarcodeError(f"{shown(text)} has other signs than digits: type the digits under the bars.")
    if len(digits) not in KINDS:
        raise BarcodeError(
            f"{shown(text)} has {len(digits)} digits, and a bar code has 8, 12, 13 or 14: "
            "type all digits, the small ones at the ends too."
        )
    if not _fits(digits):
        if len(digits) == 8 and digits[0] in "01" and _fits(expanded(digits)):
            return Gtin(f"0{expanded(digits)}", "UPC-E")
        expected = check_digit(digits[:-1])
        raise BarcodeError(
            f"{digits} ends with {digits[-1]}, but its other digits ask for {expected} as the check digit: "
            "one of them is not as printed. Scan it again, or compare digit by digit."
        )
    return Gtin(_kept(digits), KINDS[len(digits)])


def _kept(digits: str) -> str:
    bare = digits.lstrip("0")
    if len(digits) == 8:
        return digits
    # GS1 leaves the range of 13 digits that begins with five zeros to numbers of 8.
    if len(digits) >= 13 and len(bare) <= 8:
        return digits[-8:]
    if len(digits) == 14:
        return digits[1:] if digits[0] == "0" else digits
    return digits.zfill(13)


def read_own(text: str) -> OwnCode | None:
    """What one of our own printed codes points to; None for anything else."""
    found = _OWN.search(text[:LONGEST].strip())
    if found is None:
        return None
    tube, place = found[2], found[3]
    return OwnCode(found[1], tube=int(tube) if tube else None, place=int(place) if place else None)


def read_tube_number(text: str) -> int | None:
    """The number that is written on a tube: too few digits for a bar code."""
    digits = plain(text[:LONGEST]).removeprefix("no.").strip()
    return int(digits) if _TUBE_NUMBER.fullmatch(digits) else None

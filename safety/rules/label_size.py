"""What a small package need not print: absence on its label is not absence of the hazard.

References: 16 CFR 1500.14(b)(8)(i)(E)(8), art materials in the United States (ASTM D4236); Regulation (EC) 1272/2008
(CLP), Annex I, section 1.5.2, packages of at most 125 ml, and Annex II, section 2.1 (EUH201 and EUH201A).
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from safety.rules.statements import bare_code

# 16 CFR 1500.14(b)(8)(i)(E)(8) speaks of one fluid ounce and gives 30 ml for it, and of one ounce net weight, 28 g.
US_FULL_LABEL_ABOVE_ML = Decimal(30)
US_FULL_LABEL_ABOVE_G = Decimal(28)
EU_SMALL_UP_TO_ML = Decimal(125)

US_SOURCE = "16 CFR 1500.14(b)(8)(i)(E)(8)"
EU_SOURCE = "Regulation (EC) 1272/2008, Annex I, section 1.5.2.1"
LEAD_SOURCE = "Regulation (EC) 1272/2008, Annex II, section 2.1"


@dataclass(frozen=True)
class SizeAnswer:
    """One rule about the size of the package, what it says here, and where it is written."""

    rule: str
    text: str
    source: str
    # Codes whose statement the label may go without.
    may_lack: tuple[str, ...] = ()


def us_label(size: Decimal, unit: str = "ml") -> SizeAnswer:
    """Return what the US rule for art materials asks of a package: the full text above 30 ml or 28 g.

    It concerns materials with a chronic hazard. ValueError for a size that is not above 0 or another unit.
    """
    above = {"ml": US_FULL_LABEL_ABOVE_ML, "g": US_FULL_LABEL_ABOVE_G}.get(unit)
    if above is None:
        raise ValueError(f"unit must be ml or g, not {unit!r}")
    _check(size)
    if size > above:
        text = (
            f"{_number(size)} {unit} is above {above} {unit}: where there is a chronic hazard, the full text of the "
            "warning belongs on the package."
        )
    else:
        text = (
            f"{_number(size)} {unit} is not above {above} {unit}: the package may show the signal word and the list of "
            "hazardous components alone. What to do and leave undone then stands elsewhere: read the maker's sheet."
        )
    return SizeAnswer("US art materials (ASTM D4236)", text, US_SOURCE)


# H codes whose H and P statements a package of at most 125 ml may go without; True: only where it is not sold to the
# general public. Annex I, 1.5.2.1.1, (b) 1 to 17.
_BOTH_STATEMENTS = {
    "H270": False, "H280": False, "H281": False, "H225": False, "H226": False, "H228": False, "H242": False,
    "H252": False, "H260": False, "H261": False, "H272": False, "H302": True, "H312": True, "H332": True,
    "H315": False, "H319": False, "H371": True, "H335": True, "H336": True, "H373": True, "H400": False,
    "H410": False, "H411": False,
}  # fmt: skip
# 1.5.2.1.2: the P statements alone. 1.5.2.1.3: sign and signal word as well.
_P_ALONE = ("H362", "H412", "H413")
_SIGN_TOO = ("H290",)


def eu_label(h_codes: Iterable[str], size_ml: Decimal, *, to_the_public: bool = True) -> tuple[SizeAnswer, ...]:
    """Return what an EU label of this size may go without. ValueError for a size that is not above 0.

    Flammable gases (H221) are left out: there the rule turns on the category, which the code does not tell.
    """
    _check(size_ml)
    parts = [(bare_code(code), bare_code(code).split("+")) for code in h_codes]
    lead = _lead(tuple(code for code, _ in parts), size_ml)
    if size_ml > EU_SMALL_UP_TO_ML:
        text = f"{_number(size_ml)} ml is above 125 ml: the rule for small packages takes nothing off this label."
        return (SizeAnswer("EU small packages", text, EU_SOURCE), *lead)
    both = tuple(code for code, each in parts if all(_may_lack(one, to_the_public) for one in each))
    p_alone = tuple(code for code, _ in parts if code in _P_ALONE)
    signs = tuple(code for code, _ in parts if code in _SIGN_TOO)
    found = [
        SizeAnswer("EU small packages", f"{', '.join(codes)}: {words} An absent line is no finding.", source, codes)
        for codes, words, source in (
            (
                both,
                "a package of at most 125 ml may go without the hazard statement and its precautions.",
                f"{EU_SOURCE}.1",
            ),
            (p_alone, "a package of at most 125 ml may go without the precautions.", f"{EU_SOURCE}.2"),
            (
                signs,
                "a package of at most 125 ml may go without sign, signal word, statement and precautions.",
                f"{EU_SOURCE}.3",
            ),
        )
        if codes
    ]
    if not found:
        text = f"{_number(size_ml)} ml is at most 125 ml, and the rule takes nothing off for these codes."
        found = [SizeAnswer("EU small packages", text, EU_SOURCE)]
    return (*found, *lead)


def _may_lack(code: str, to_the_public: bool) -> bool:
    return code in _BOTH_STATEMENTS and not (_BOTH_STATEMENTS[code] and to_the_public)


def _lead(codes: tuple[str, ...], size_ml: Decimal) -> tuple[SizeAnswer, ...]:
    """EUH201A takes the place of EUH201 below 125 ml; at 125 ml itself it does not."""
    if "EUH201" in codes and size_ml < EU_SMALL_UP_TO_ML:
        text = "EUH201: a package of less than 125 ml may print the short EUH201A in its place."
    elif "EUH201A" in codes and size_ml >= EU_SMALL_UP_TO_ML:
        text = "EUH201A is for packages of less than 125 ml: ask the maker why the short sentence stands on this one."
    else:
        return ()
    return (SizeAnswer("EU lead in paint", text, LEAD_SOURCE),)


def _check(size: Decimal) -> None:
    if size <= 0:
        raise ValueError(f"size must be above 0, not {size}")


def _number(size: Decimal) -> str:
    return f"{size.normalize():f}"

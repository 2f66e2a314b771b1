"""Holds the name of a paint against its codes. The codes stand; what disagrees is said."""

from collections.abc import Sequence

from .doubts import Doubt, Option, Severity, shown
from .names import MetalClaim, NameClaims, name_claims, shade_of, words_of
from .vocabulary import Vocabulary


def name_doubts(name: str, codes: Sequence[str], vocabulary: Vocabulary, *, complete: bool = True) -> tuple[Doubt, ...]:
    """What the name claims and the listed codes do not bear out. `complete` is False while codes are still open."""
    if not name or not codes:
        return ()
    claims = name_claims(name)
    found = [_free_but_listed(claims, codes, vocabulary), _hue_but_listed(claims, codes, vocabulary)]
    if complete and all(code in vocabulary for code in codes):
        found += [_metal_not_listed(claims, codes, vocabulary), _other_colour(claims, codes, vocabulary)]
    return tuple(doubt for doubt in found if doubt is not None)


def _with_metal(claim: MetalClaim, codes: Sequence[str], vocabulary: Vocabulary) -> list[str]:
    return [code for code in codes if set(claim.metals) & set(vocabulary.metals(code))]


def _free_but_listed(claims: NameClaims, codes: Sequence[str], vocabulary: Vocabulary) -> Doubt | None:
    for claim in claims.free_of:
        holding = _with_metal(claim, codes, vocabulary)
        if holding:
            message = (
                f"The name {shown(claims.name)} says free of {claim.name}, but {', '.join(holding)} contains it. "
                f"The paint counts as one with {claim.name}; check the code on the tube."
            )
            return Doubt("name-free", Severity.NOTE, message, ", ".join(holding))
    return None


def _hue_but_listed(claims: NameClaims, codes: Sequence[str], vocabulary: Vocabulary) -> Doubt | None:
    if not claims.says_hue:
        return None
    for claim in claims.metals:
        holding = _with_metal(claim, codes, vocabulary)
        if holding:
            message = (
                f"The name {shown(claims.name)} suggests an imitation, but {', '.join(holding)} contains {claim.name}. "
                f"The paint counts as one with {claim.name}; check the code on the tube."
            )
            return Doubt("name-hue", Severity.NOTE, message, ", ".join(holding))
    return None


def _metal_not_listed(claims: NameClaims, codes: Sequence[str], vocabulary: Vocabulary) -> Doubt | None:
    for claim in claims.metals:
        if _with_metal(claim, codes, vocabulary) or _is_usual_name(claim.word, codes, vocabulary):
            continue
        expected = "an imitation" if claims.says_hue else f"a {claim.name} paint"
        message = (
            f"The name {shown(claims.name)} speaks of {expected}, and no listed pigment ({', '.join(codes)}) contains "
            f"{claim.name}. Other ingredients are not known from the codes; the maker's sheet has them."
        )
        return Doubt("name-metal", Severity.NOTE, message, claim.word)
    return None


def _is_usual_name(word: str, codes: Sequence[str], vocabulary: Vocabulary) -> bool:
    """True where a listed pigment bears the word in its own common names, such as vermilion in perylene vermilion."""
    names = [own for code in codes if (pigment := vocabulary.get(code)) for own in pigment.common_names]
    return any(set(words_of(word)) <= set(words_of(own)) for own in names)


def _other_colour(claims: NameClaims, codes: Sequence[str], vocabulary: Vocabulary) -> Doubt | None:
    """One coloured pigment whose hue none of the colour words allows; mixtures may have any colour."""
    pigments = [pigment for code in codes if (pigment := vocabulary.get(code))]
    coloured = [pigment for pigment in pigments if pigment.hue_family != "white"] or pigments[:1]
    if len(coloured) != 1 or not claims.colours:
        return None
    pigment = coloured[0]
    own_words = {colour for own in pigment.common_names for colour in name_claims(own).colours}
    if pigment.hue_family in claims.families or own_words & set(claims.colours):
        return None
    number = pigment.ci_name.lstrip("PNBRYOVGWMrk")
    meant = [p for p in vocabulary if p.ci_name.lstrip("PNBRYOVGWMrk") == number and p.hue_family in claims.families]
    options = (*(Option(p.ci_name, p.label) for p in meant), Option(pigment.ci_name, f"{pigment.label}, as typed"))
    guess = f" Did you mean {meant[0].label}?" if meant else ""
    message = (
        f"The name {shown(claims.name)} says {claims.colours[-1]}, but {pigment.label} is {pigment.hue_family}. "
        f"The code stands until you change it.{guess} Check the tube."
    )
    return Doubt("name-colour", Severity.NOTE, message, pigment.ci_name, options)


def shade_doubt(code: str, words: str, vocabulary: Vocabulary, *, alone: bool) -> tuple[str | None, Doubt | None]:
    """The shade that the words give, or the question. In a mixture the name cannot tell it, so it is only noted."""
    shades = vocabulary.shades(code)
    if not shades:
        return None, None
    reading = shade_of(code, words, {code: shades})
    if reading.shade is not None and alone:
        return reading.shade, None
    options = (*(Option(shade, shade) for shade in reading.options), Option("", "None of these, or not known"))
    if alone:
        message = f"{code} is sold as several colours ({', '.join(reading.options)}). Choose which one the tube holds."
        return None, Doubt("shade", Severity.ASK, message, code, options)
    message = f"{code} is sold as several colours ({', '.join(shades)}); which one is in this mixture is not known."
    return None, Doubt("shade", Severity.NOTE, message, code, options)

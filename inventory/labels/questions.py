"""The questions that one part of a pigment list can raise, with the answers that fit."""

import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass

from .doubts import Doubt, Option, Severity, shown
from .listing import Item, ItemKind
from .names import NameClaims, words_of
from .vocabulary import KnownPigment, Vocabulary

MOST_OPTIONS = 8


@dataclass(frozen=True, slots=True)
class Context:
    """What sorts the answers: the name of the paint, and codes that other lists give for the same tube."""

    name: str
    claims: NameClaims
    vocabulary: Vocabulary
    elsewhere: Collection[str]


def question(context: Context, item: Item, typed: str) -> Doubt | None:
    """What has to be asked before the item is a fact; None if nothing."""
    if item.kind is ItemKind.NUMBER:
        return _bare_number(context, item.numbers[0], typed)
    if item.is_short:
        return _short_number(context, item, typed)
    if item.code in context.vocabulary:
        return _bare_family(context, item, typed) or _number_conflict(context, item)
    if context.vocabulary.parts_of(item.code):
        return _bare_family(context, item, typed)
    return _unknown_code(context, item, typed)


def unknown_number(context: Context, item: Item) -> Doubt | None:
    """A number beside a code that no pigment has is noted; the code stands."""
    known = context.vocabulary.get(item.code)
    for number in item.numbers:
        if known and known.ci_numbers and not context.vocabulary.with_number(number):
            own = ", ".join(known.ci_numbers)
            message = f"{item.code} has the constitution number {own}, but {number} is typed. Check the tube."
            return Doubt("number-unknown", Severity.NOTE, message, f"{item.code} {number}")
    return None


def _number_conflict(context: Context, item: Item) -> Doubt | None:
    """A number that belongs to other pigments than its code is asked, not resolved."""
    known = context.vocabulary.get(item.code)
    for number in item.numbers:
        owners = context.vocabulary.with_number(number)
        if known is not None and owners and known not in owners:
            return _conflict(known, number, owners)
    return None


def _conflict(known: KnownPigment, number: str, owners: tuple[KnownPigment, ...]) -> Doubt:
    code, own = known.ci_name, ", ".join(known.ci_numbers) or "no number that we know"
    others = ", ".join(owner.label for owner in owners)
    message = (
        f"{code} and {number} do not belong together: {code} has {own}, and {number} is {others}. "
        "Choose what the tube says."
    )
    options = [Option(code, f"{known.label}, the number is wrong")]
    options += [Option(owner.ci_name, f"{owner.label}, the code is wrong") for owner in owners]
    options += [Option(f"{code}+{owner.ci_name}", f"Both {code} and {owner.ci_name}") for owner in owners]
    return Doubt("number-conflict", Severity.ASK, message, f"{code} {number}", tuple(options))


def _bare_number(context: Context, number: str, typed: str) -> Doubt:
    owners = context.vocabulary.with_number(number)
    options = tuple(Option(p.ci_name, p.label) for p in _by_name_fit(context, owners))
    if owners:
        message = (
            f"The number {number} alone can be {' or '.join(p.label for p in owners)}. Choose which the tube names."
        )
    else:
        message = f"The number {number} is in no list that we have. Enter the pigment code from the tube."
        options = (Option("", "Leave it out; the pigment stays unknown"),)
    return Doubt("bare-number", Severity.ASK, message, typed, options)


def _short_number(context: Context, item: Item, typed: str) -> Doubt:
    code = item.code
    message = f"{shown(typed)} has no letters of its own. Did you mean {code}, carrying on from the code before it?"
    options = (Option(code, context.vocabulary.label(code)), Option("", "No, leave it out"))
    return Doubt("short-number", Severity.ASK, message, typed, options)


def _bare_family(context: Context, item: Item, typed: str) -> Doubt | None:
    """A code of several forms, such as PB15. One with a single sub-number (PW6, PR108) is a pigment of its own."""
    parts = context.vocabulary.parts_of(item.code)
    listed = item.code in context.vocabulary
    if not parts or (listed and len(parts) < 2):
        return None
    options = [Option(p.ci_name, p.label) for p in _by_name_fit(context, parts)]
    options.append(Option(item.code, f"Just {item.code}: the tube does not say which"))
    message = (
        f"{shown(typed)} names a family ({', '.join(p.ci_name for p in parts)}) whose members differ, "
        "and the tube may say which. Choose one, or keep the family with its shade unknown."
    )
    return Doubt("bare-family", Severity.ASK, message, typed, tuple(options))


def _by_name_fit(context: Context, pigments: Iterable[KnownPigment]) -> list[KnownPigment]:
    said = set(words_of(context.name))

    def fit(pigment: KnownPigment) -> tuple[bool, int]:
        names = {word for name in pigment.common_names for word in words_of(name)}
        return pigment.hue_family not in context.claims.families, -len(names & said)

    return sorted(pigments, key=fit)


def _unknown_code(context: Context, item: Item, typed: str) -> Doubt:
    suggestions = _suggestions(context, item)
    options = [Option(code, _joined_label(context, code)) for code in suggestions]
    otherwise = "leave it out" if item.is_code_like else "keep it as typed"
    if item.is_code_like:
        what = f"{shown(typed)} is not a pigment code"
        options.append(Option("", "None of these: leave it out"))
    elif item.is_dye:
        what = f"{shown(typed)} is the code of a dye, which our pigment list does not have"
        options.append(Option(item.code, f"Keep {item.code} as the tube says; nothing is known of it"))
    else:
        what = f"{shown(typed)} is not in our list of pigments"
        options.append(Option(item.code, f"Keep {item.code} as the tube says; nothing is known of it"))
    message = f"{what}. {_did_you_mean(context, suggestions, otherwise)}"
    return Doubt("not-a-code" if item.is_code_like else "unknown-code", Severity.ASK, message, typed, tuple(options))


def _joined_label(context: Context, codes: str) -> str:
    parts = codes.split("+")
    return context.vocabulary.label(codes) if len(parts) == 1 else "Two pigments: " + " and ".join(parts)


def _did_you_mean(context: Context, suggestions: list[str], otherwise: str) -> str:
    if not suggestions:
        return f"Check the tube and type the code again, or {otherwise}."
    first = suggestions[0]
    said = f"Did you mean {first}?"
    pigment = context.vocabulary.get(first)
    if first in context.elsewhere:
        said += f" The same tube is listed with {first} elsewhere."
    elif pigment is not None and pigment.hue_family in context.claims.families:
        said += f" The name {shown(context.name)} says {pigment.hue_family}."
    return f"{said} Nothing is stored until you choose."


def _suggestions(context: Context, item: Item) -> list[str]:
    """Codes one slip away; those of other lists first, then those of the colour in the name, then the same letters."""
    base, _, sub = item.code.partition(":")
    letters = base.rstrip("0123456789")
    near = list(context.vocabulary.one_edit_from(item.code))
    if sub:
        near += [p for p in (context.vocabulary.get(base), *context.vocabulary.parts_of(base)) if p and p not in near]
    families = context.claims.families

    def rank(pigment: KnownPigment) -> tuple[bool, ...]:
        code = pigment.ci_name
        return (
            code not in context.elsewhere,
            pigment.hue_family not in families,
            code.replace(":", "") != item.code,  # only the colon is missing
            not sub or code.partition(":")[0] != base,
            code[:1] != item.code[:1],
            not code.casefold().startswith(letters.casefold()),
            re.sub(r"\D", "", code) != re.sub(r"\D", "", item.code),
        )

    codes = [pigment.ci_name for pigment in sorted(near, key=rank)]
    joined = f"{item.slash_base}:{letters and base[len(letters) :]}" if item.slash_base else ""
    if joined in context.vocabulary:  # PB15/PB3 may mean PB15:3
        codes = [joined, *(code for code in codes if code != joined)]
    pair = letters + sub
    if item.odd_mark and base in context.vocabulary and pair in context.vocabulary:  # PY42/43 may mean PY42 and PY43
        codes.insert(0, f"{base}+{pair}")
    return codes[:MOST_OPTIONS]

"""Cells that a spreadsheet would run as a formula, made harmless and back again without loss.

The rule: a text that begins with one of = + - @ (also in their wide forms, also behind blanks), with a tab, a line
break, or an apostrophe gets one apostrophe in front. Reading takes exactly that apostrophe away again. Since every text
that begins with an apostrophe gets another one, no two texts are written alike: `unprotect(protect(text)) == text`.
"""

import re

_RUNS = re.compile(r"['\t\r\n]|\s*[=+\-@＝＋－﹣−＠﹫﹢﹦]")


def protect(text: str) -> str:
    """The text as it may stand in a file that a spreadsheet opens."""
    return f"'{text}" if _RUNS.match(text) else text


def unprotect(text: str) -> str:
    """The text that `protect` was given; a cell that nobody protected comes back as it is."""
    return text[1:] if text.startswith("'") and _RUNS.match(text, 1) else text

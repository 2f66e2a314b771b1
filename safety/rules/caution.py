"""One line of advice, with why and on whose word."""

from dataclasses import dataclass

PRACTICE = "common practice, no source"


@dataclass(frozen=True)
class Caution:
    """One line of handling advice. `key` names it for programs and does not change with the wording."""

    key: str
    text: str
    why: str
    source: str

"""Long work in steps: a generator that yields the share done (0 to 1) and returns the result."""

from __future__ import annotations

from collections.abc import Generator
from typing import TypeVar

Result = TypeVar("Result")
Steps = Generator[float, None, Result]


def finish(steps: Steps[Result]) -> Result:
    """Work all the steps that are left and return the result."""
    while True:
        try:
            next(steps)
        except StopIteration as done:
            result: Result = done.value
            return result

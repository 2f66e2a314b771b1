"""What this house has decided for itself. None ships as a default that looks like law."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

Topic = Literal["children", "rags", "waste", "solvents", "dust", "food", "other"]


@dataclass(frozen=True)
class HouseRule:
    """A rule that this studio set: its words, who set it and when."""

    text: str
    set_by: str
    set_on: date | None = None
    topic: Topic = "other"

    @property
    def source(self) -> str:
        when = f", {self.set_on.isoformat()}" if self.set_on else ", date not recorded"
        return f"house rule, set by {self.set_by}{when}"

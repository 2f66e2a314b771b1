from safety.models.data_sheet import DataSheet, LabelStatement, SignalWord
from safety.models.notice import Notice
from safety.models.substance import HazardFact, Limit, Statement, StatementKind

__all__ = [
    "DataSheet",
    "HazardFact",
    "LabelStatement",
    "Limit",
    "Notice",
    "SignalWord",
    "Statement",
    "StatementKind",
]

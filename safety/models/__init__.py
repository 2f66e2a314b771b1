from safety.models.data_sheet import DataSheet, LabelStatement, PrintedSo, SheetFile, SignalWord
from safety.models.house import HouseRule, Reach, RuleKind, RulesVersion, SignOff
from safety.models.notice import Notice, PaperKind
from safety.models.posting import Posting
from safety.models.room import (
    CalendarLink,
    ExportTemplate,
    Finding,
    Incident,
    IncidentKind,
    IncidentNote,
    Inspection,
    InspectionSubject,
    RoomFacts,
    WasteContainer,
    WentIn,
)
from safety.models.substance import HazardFact, Limit, Statement, StatementKind

__all__ = [
    "CalendarLink",
    "DataSheet",
    "ExportTemplate",
    "Finding",
    "HazardFact",
    "HouseRule",
    "Incident",
    "IncidentKind",
    "IncidentNote",
    "Inspection",
    "InspectionSubject",
    "LabelStatement",
    "Limit",
    "Notice",
    "PaperKind",
    "Posting",
    "PrintedSo",
    "Reach",
    "RoomFacts",
    "RuleKind",
    "RulesVersion",
    "SheetFile",
    "SignOff",
    "SignalWord",
    "Statement",
    "StatementKind",
    "WasteContainer",
    "WentIn",
]

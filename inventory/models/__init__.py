from inventory.models.exchange import BatchState, ImportBatch, ImportedRow, ImportRow, RowState
from inventory.models.ledger import Entry, EntryKind
from inventory.models.measurement import CurveState, Measurement, PaintCurve, SpecularMode, Swatch, Way
from inventory.models.paint import (
    Binder,
    Item,
    ItemKind,
    LightfastnessScale,
    Material,
    MaterialKind,
    Opacity,
    Paint,
    PaintPigment,
    PigmentsKnown,
    Reading,
    ReadingField,
)
from inventory.models.pigment import Confidence, OpticalRow, Pigment
from inventory.models.supply import Counting, LevelBasis, ReorderLevel
from inventory.models.tube import OwnerKind, Place, Tube, TubeState, Unit

__all__ = [
    "BatchState",
    "Binder",
    "Confidence",
    "Counting",
    "CurveState",
    "Entry",
    "EntryKind",
    "ImportBatch",
    "ImportRow",
    "ImportedRow",
    "Item",
    "ItemKind",
    "LevelBasis",
    "LightfastnessScale",
    "Material",
    "MaterialKind",
    "Measurement",
    "Opacity",
    "OpticalRow",
    "OwnerKind",
    "Paint",
    "PaintCurve",
    "PaintPigment",
    "Pigment",
    "PigmentsKnown",
    "Place",
    "Reading",
    "ReadingField",
    "ReorderLevel",
    "RowState",
    "SpecularMode",
    "Swatch",
    "Tube",
    "TubeState",
    "Unit",
    "Way",
]

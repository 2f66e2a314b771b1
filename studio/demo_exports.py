"""Two lists of the demo studio, for two invented offices."""

from safety.services.exports import save_export
from studio.models import Studio, User

EXPORTS = (
    {
        "name": "Chemical register, estates office",
        "subject": "holdings",
        "room_format": "Building 4 / {room} / {place}",
        "columns": (
            ("name", "Product"),
            ("maker", "Manufacturer"),
            ("cas", "CAS No."),
            ("amount", "Quantity"),
            ("unit", "Unit"),
            ("containers", "No. of containers"),
            ("location", "Location code"),
            ("sheet_revised", "SDS revision"),
            ("signal_word", "Signal word"),
            ("h_codes", "H statements"),
            ("signs", "GHS signs"),
            ("keeper", "Responsible person"),
            ("date", "Date of return"),
        ),
    },
    {
        "name": "Waste for collection",
        "subject": "waste",
        "room_format": "4-{room}",
        "columns": (
            ("number", "Container"),
            ("location", "Pick-up point"),
            ("contents", "Contents in full"),
            ("hazards", "Hazards"),
            ("size", "Volume (ml)"),
            ("opened", "Start date"),
            ("full", "Full since"),
        ),
    },
)


def add_exports(studio: Studio, keeper: User) -> None:
    for export in EXPORTS:
        save_export(studio, by=keeper, **export)  # type: ignore[arg-type]  # each has what the service takes

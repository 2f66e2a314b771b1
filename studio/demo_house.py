"""What the demo studio decided for itself: rooms, groups, house rules and labels with seals. All of it is invented."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.utils import timezone

from inventory.models import Item, Place
from inventory.services.groups import add_group
from inventory.services.rooms import add_room, put_places
from safety import services
from safety.services.house import RuleInput, replace_rule, set_room_facts, set_rule
from studio.models import Studio, User

OFFICE = "the college's safety office, by letter (invented)"
MEETING = "the keepers' meeting (invented)"
CHILDREN, ADULTS, STAFF = "Children of 7 to 12", "Evening adults", "Staff"

ROOMS: dict[str, tuple[tuple[str, ...], dict[str, Any]]] = {
    "Room 2, painting": (
        ("Oil shelf", "Sink shelf"),
        {
            "keeper": "Ines, Monday to Friday",
            "call": "Porter's lodge, extension 20 (invented)",
            "rags": "Steel can with the lid, left of the door; emptied every evening",
            "waste": "Labelled cans under the cleaning table, never the sink",
            "eyewash": "At the sink, green sign",
            "extinguisher": "Beside the door",
            "spill_kit": "Under the cleaning table",
            "extraction": "Fan over the cleaning table, both top windows",
            "first_aid": "Porter's lodge",
            "way_out": "Door to the yard; meet at the old crane",
            "volume_litres": 186_000,
        },
    ),
    "Store room": (
        ("Locked cupboard", "Medium cabinet", "Solvent cabinet"),
        {
            "keeper": "Ines",
            "call": "Porter's lodge, extension 20 (invented)",
            "extinguisher": "Outside, beside the door",
            "volume_litres": 28_500,
        },
    ),
    "Children's room": (
        ("Acrylic trolley",),
        {
            "keeper": "Tomas, Saturdays",
            "call": "Porter's lodge, extension 20 (invented)",
            "first_aid": "Box on the wall by the basin",
            "way_out": "Door to the yard; meet at the old crane",
        },
    ),
}


@dataclass(frozen=True)
class Rule:
    """An invented rule; `named` are names of items where the rule is about those."""

    kind: str
    text: str
    word: str
    days_ago: int
    reach: str = ""
    values: str | tuple[str, ...] = ""
    groups: tuple[str, ...] = ()
    subject: str = ""
    demanded: bool = True


RULES = (
    Rule(
        "ban",
        "Children under 13 use only what carries the seal AP",
        OFFICE,
        150,
        "no seal",
        "AP",
        (CHILDREN,),
    ),
    Rule(
        "ban",
        "No solvent, varnish or drier is used by or beside children",
        OFFICE,
        150,
        "form",
        ("solvent", "varnish", "drier"),
        (CHILDREN,),
    ),
    Rule(
        "ban",
        "What can cause cancer, harm genes or an unborn child is for staff only",
        OFFICE,
        150,
        "code",
        "H340; H350; H360",
        (ADULTS,),
    ),
    Rule(
        "warn",
        "Cobalt and nickel: gloves, and no sanding of dry paint",
        MEETING,
        131,
        "metal",
        "cobalt; nickel",
        (ADULTS,),
    ),
    Rule(
        "warn",
        "Copper pigments: a child with cuts on the hands wears gloves",
        MEETING,
        131,
        "metal",
        "copper",
        (CHILDREN,),
    ),
    Rule(
        "warn",
        "Solvents only at the cleaning table, with the fan on",
        MEETING,
        131,
        "form",
        ("solvent", "varnish"),
        (ADULTS, STAFF),
    ),
    Rule(
        "wording",
        "Oily rags go into the steel can with the lid, left of the door. It is emptied every evening.",
        MEETING,
        131,
        subject="rags",
    ),
    Rule("field", "Every waste container shows the porter's extension.", OFFICE, 150, subject="waste tag: telephone"),
    Rule(
        "field", "The tag shows the day on which the container was begun.", OFFICE, 150, subject="waste tag: start date"
    ),
    Rule("field", "A jar says whose it is.", MEETING, 131, subject="jar label: whose"),
    Rule(
        "field",
        "No price and no order number on a tag.",
        OFFICE,
        150,
        subject="waste tag: order number",
        demanded=False,
    ),
)
# Acrylics of the children's room, as their invented labels are printed: words, seal, and statements.
LABELS = (
    ("Titanium White", "AP", "Invented label: certified, conforms to ASTM D4236.", ""),
    ("Yellow Oxide", "AP", "Invented label: certified, conforms to ASTM D4236.", ""),
    ("Ultramarine Blue", "AP", "Invented label: certified, conforms to ASTM D4236.", ""),
    ("Phthalo Green (blue shade)", "AP", "Invented label: certified, conforms to ASTM D4236.", ""),
    ("Primary Yellow", "AP", "Invented label: certified, conforms to ASTM D4236.", ""),
    ("Naphthol Red Light", "AP", "Invented label: certified, conforms to ASTM D4236.", ""),
    ("Primary Magenta", "AP", "Invented label: certified, conforms to ASTM D4236.", ""),
    ("Burnt Sienna", "AP", "Invented label: certified, conforms to ASTM D4236.", ""),
    ("Hansa Yellow Medium", "CL", "Invented label: caution, may cause an allergic skin reaction.", "H317"),
    ("Mars Black", "", "Invented label: keep out of reach of children.", ""),
)


def furnish(studio: Studio, keeper: User, teacher: User, now: datetime) -> None:
    """Name rooms and groups, set the house rules, and copy the labels, all before the notices were made."""
    today = timezone.localdate(now)
    for name, (places, facts) in ROOMS.items():
        room = add_room(studio, name=name)
        put_places(room, Place.objects.filter(studio=studio, name__in=places))
        set_room_facts(room, by=keeper, **facts)
    groups = {
        CHILDREN: add_group(studio, name=CHILDREN, children=True, note="Saturday class, children's room."),
        ADULTS: add_group(studio, name=ADULTS, note="Tuesday and Thursday evenings."),
        STAFF: add_group(studio, name=STAFF, note="Keepers and teachers."),
    }
    for rule in RULES:
        given = RuleInput(
            rule.kind,
            rule.text,
            rule.word,
            today - timedelta(days=rule.days_ago),
            rule.reach,
            rule.values,
            [groups[name] for name in rule.groups],
            rule.subject,
            demanded=rule.demanded if rule.kind == "field" else None,
        )
        set_rule(studio, given, by=keeper)
    _amended(studio, keeper, today - timedelta(days=300), today - timedelta(days=131))
    for name, seal, text, codes in LABELS:
        item = Item.objects.get(studio=studio, name=name, paint__binder="acrylic")
        read_on = today - timedelta(days=126)
        services.record_label_statement(item, by=teacher, read_on=read_on, text=text, seal=seal, h_codes=codes)


def _amended(studio: Studio, keeper: User, first: Any, later: Any) -> None:
    """A rule that was replaced, so that the history shows one."""
    older = set_rule(
        studio, RuleInput("wording", "No eating at the easels.", MEETING, first, subject="food"), by=keeper
    )
    newer = RuleInput("wording", "No food and no cups where we paint.", MEETING, later, subject="food")
    replace_rule(older, newer, by=keeper)

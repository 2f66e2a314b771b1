"""What the demo studio wrote down of its rooms: inspections, waste, signatures, a near miss. All invented."""

from datetime import datetime, timedelta

from django.utils import timezone

from inventory.models import Item, Room
from safety.models import Finding, HouseRule, Incident, IncidentKind, RuleKind, RulesVersion, SignOff
from safety.queries.records import starting_text
from safety.rules.due import TRAINING, WASTE_OPEN
from safety.services import records as services
from studio.models import Studio, User

WORD = "the college's safety office, by letter (invented)"
INTERVALS = (
    ("eyewash", 7, "The eyewash is run and looked at every week."),
    ("waste area", 7, "Somebody looks at the waste area every week."),
    (WASTE_OPEN, 180, "A waste container is collected within half a year of its opening."),
    (TRAINING, 365, "The rules are read and signed again every year."),
)
# Subject, days ago, finding, note.
INSPECTIONS = (
    ("eyewash", 24, Finding.IN_ORDER, ""),
    ("eyewash", 17, Finding.IN_ORDER, ""),
    ("waste area", 3, Finding.IN_ORDER, "Both containers closed and labelled."),
    ("spill kit", 40, Finding.IN_ORDER, ""),
    ("extraction", 12, Finding.NEEDS_WORK, "The fan over the cleaning table rattles and moves little air."),
)


def keep_records(studio: Studio, keeper: User, teacher: User, member: User, now: datetime) -> None:
    """The records of one studio, in the days before `now`; house rules that stand already are left as they are."""
    today = timezone.localdate(now)
    room, _ = Room.objects.get_or_create(studio=studio, name="Room 2, painting")
    held = set(HouseRule.objects.of(studio).standing().filter(kind=RuleKind.INTERVAL).values_list("subject", flat=True))
    for subject, days, text in INTERVALS:
        if subject not in held:
            HouseRule.objects.create(
                studio=studio,
                kind=RuleKind.INTERVAL,
                subject=subject,
                days=days,
                text=text,
                on_whose_word=WORD,
                set_on=today - timedelta(days=120),
                recorded_by=keeper,
            )
    for subject, days_ago, finding, note in INSPECTIONS:
        services.record_inspection(
            studio,
            by=member if finding == Finding.IN_ORDER else teacher,
            subject=subject,
            finding=finding,
            done_on=today - timedelta(days=days_ago),
            room=room,
            note=note,
        )
    _waste(studio, room, teacher, now)
    _signatures(studio, keeper, teacher, member, now)
    Incident.objects.create(
        studio=studio,
        kind=IncidentKind.NEAR_MISS,
        happened_at=now - timedelta(days=9, hours=2),
        room=room,
        what="A rag with linseed oil lay crumpled on the radiator and felt warm.",
        done="Laid flat outside on the stones; the others were put into the can with the lid.",
        reported_by=teacher,
    )


def _waste(studio: Studio, room: Room, teacher: User, now: datetime) -> None:
    today = timezone.localdate(now)
    full = services.open_waste(
        studio,
        by=teacher,
        contents="Odourless mineral spirits with oil paint, may contain cadmium and cobalt pigments",
        went_in=Item.objects.of(studio).filter(name__in=("Odourless Mineral Spirits", "Cadmium Red Light")),
        hazards="May be fatal if swallowed and enters airways",
        size_milli=5_000_000,
        room=room,
        opened_on=today - timedelta(days=150),
    )
    services.close_waste(full, by=teacher, full_on=today - timedelta(days=6))
    services.open_waste(
        studio,
        by=teacher,
        contents="Rinsing water with acrylic paint",
        size_milli=10_000_000,
        room=room,
        opened_on=today - timedelta(days=6),
    )


def _signatures(studio: Studio, keeper: User, teacher: User, member: User, now: datetime) -> None:
    text = starting_text(studio) or "1. Wipe brushes before you rinse them."
    version = services.make_version(studio, by=keeper, title="Rules of the painting rooms", text=text)
    made = now - timedelta(days=90)
    RulesVersion.objects.filter(pk=version.pk).update(made_at=made)
    services.record_sign_offs(
        studio,
        by=teacher,
        number=version.number,
        signed_on=timezone.localdate(made) + timedelta(days=2),
        people=[keeper, teacher, member],
        names=["Student A of the evening class", "Student B of the evening class"],
    )
    SignOff.objects.filter(version=version).update(recorded_at=made + timedelta(days=2))

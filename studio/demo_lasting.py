"""What the demo studio watches for fading: one swatch in the window, and a painting that rests on it. Invented."""

from datetime import datetime, timedelta

from django.utils import timezone

from inventory.models import Binder, Exposure, Paint
from inventory.services import lasting
from studio.models import Studio, User

PAINT = "Alizarin Crimson"
BEGAN_DAYS_AGO = 210
FIRST = "50.4, 46.1, 3.8"
# Days since the first, hours of daylight, and L*, a*, b* on that day.
LOOKS = (
    (30, 190, "51.2, 44.0, 3.9"),
    (75, 520, "52.6, 40.9, 4.2"),
    (130, 1_040, "54.1, 37.2, 4.6"),
    (195, 1_640, "55.3, 34.5, 5.0"),
)
MADE_WITH = ("Titanium White", "Yellow Ochre", PAINT)


def watch(studio: Studio, teacher: User, member: User, today: datetime) -> None:
    """A window test with four readings, and one work."""
    paint = Paint.objects.get(studio=studio, name=PAINT, binder=Binder.OIL)
    began = timezone.localdate(today) - timedelta(days=BEGAN_DAYS_AGO)
    test = lasting.start_test(
        studio,
        paint=paint,
        by=teacher,
        started_on=began,
        text=FIRST,
        illuminant="D65",
        observer="10",
        swatch="tint 1:9",
        note="South window, the lower half under card. Invented figures.",
    )
    for days, hours, text in LOOKS:
        lasting.add_reading(
            test,
            by=teacher,
            on=began + timedelta(days=days),
            text=text,
            illuminant="D65",
            observer="10",
            exposure=Exposure.HOURS,
            amount=hours,
        )
    lasting.add_work(
        studio,
        by=member,
        title="Peonies, evening class",
        made_on=began - timedelta(days=40),
        where="Corridor, opposite the window",
        items=Paint.objects.filter(studio=studio, name__in=MADE_WITH, binder=Binder.OIL),
        note="The pinks are Alizarin in white.",
    )

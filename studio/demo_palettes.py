"""Two palettes of the demo studio: six oils for the evening class, and six acrylics for the children. Invented."""

from urllib.parse import urlencode

from inventory.colour.temperature import Tag
from inventory.models import Binder, Group, Paint
from inventory.services.palettes import Line, save_palette
from studio.demo_house import ADULTS, CHILDREN
from studio.models import Studio, User

EVENING, SATURDAY = "Evening six", "Saturday six"
# With what stands for what, and what a head of the evening course is given in thousandths of a ml.
OILS = {
    "Titanium White": ("white", 4_000),
    "Hansa Yellow Light": ("cool yellow", 1_500),
    "Naphthol Red": ("warm red", 1_200),
    "Permanent Alizarin": ("cool red", 1_000),
    "Ultramarine Blue": ("blue leaning to violet", 1_800),
    "Phthalo Blue (green shade)": ("blue leaning to green", 600),
}
# Of the eight acrylics that carry the seal AP, as the house rules ask of what children use.
ACRYLICS = {
    "Titanium White": "white",
    "Primary Yellow": "yellow",
    "Naphthol Red Light": "warm red",
    "Primary Magenta": "cool red",
    "Ultramarine Blue": "blue leaning to violet",
    "Phthalo Green (blue shade)": "green",
}


def lay_out(studio: Studio, teacher: User) -> None:
    """Save the two palettes, each with the question that the designer was asked."""
    adults = Group.objects.get(studio=studio, name=ADULTS)
    children = Group.objects.get(studio=studio, name=CHILDREN)
    oils = {name: role for name, (role, _) in OILS.items()}
    for name, binder, tubes, group, people, note in (
        (EVENING, Binder.OIL, oils, adults, 12, "Set out for the evening course."),
        (SATURDAY, Binder.ACRYLIC, ACRYLICS, children, 8, "Every tube of it carries the seal AP."),
    ):
        paints = {
            paint.name: paint for paint in Paint.objects.filter(studio=studio, binder=binder, name__in=list(tubes))
        }
        lines = [Line(paint=paints[each], role=role) for each, role in tubes.items()]
        question = {
            "size": len(tubes),
            "binder": binder.value,
            "group": group.pk,
            "people": people,
            "kinds": [role for role in tubes.values() if role in set(Tag)],
            "lasting": "on",
        }
        asked = {"question": urlencode(question, doseq=True), "people": str(people)}
        save_palette(studio, name=name, binder=binder, lines=lines, by=teacher, group=group, note=note, asked=asked)

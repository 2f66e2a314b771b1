"""Two palettes of the demo studio: six oils for the evening class, and the set of the children's class. Invented."""

from inventory.models import Binder, Group, Paint
from inventory.services.palettes import Line, save_palette
from studio.demo_house import ADULTS, CHILDREN
from studio.models import Studio, User

SIX = (
    ("Titanium White", "white"),
    ("Hansa Yellow Light", "cool yellow"),
    ("Naphthol Red", "warm red"),
    ("Permanent Alizarin", "cool red"),
    ("Ultramarine Blue", "blue leaning to violet"),
    ("Burnt Sienna", "earth"),
)
# What the house rules let children use: of the acrylics these four carry the seal AP.
SATURDAY = (
    ("Titanium White", "white"),
    ("Yellow Oxide", "yellow"),
    ("Ultramarine Blue", "blue leaning to violet"),
    ("Phthalo Green (blue shade)", "green"),
)


def lay_out(studio: Studio, teacher: User) -> None:
    """Save the two palettes."""
    adults = Group.objects.get(studio=studio, name=ADULTS)
    children = Group.objects.get(studio=studio, name=CHILDREN)
    for name, binder, tubes, group, people, note in (
        ("Six oils for twelve adults", Binder.OIL, SIX, adults, 12, "Set out on Tuesdays and Thursdays."),
        ("Four for nine-year-olds", Binder.ACRYLIC, SATURDAY, children, 9, "What carries the seal AP."),
    ):
        paints = {
            paint.name: paint
            for paint in Paint.objects.filter(studio=studio, binder=binder, name__in=[each for each, _ in tubes])
        }
        lines = [Line(paint=paints[each], role=role) for each, role in tubes]
        asked = {"people": str(people), "a_head": "8"}
        save_palette(studio, name=name, binder=binder, lines=lines, by=teacher, group=group, note=note, asked=asked)

"""The wheel as a file to keep, hang up or send: SVG, PNG and PDF."""

from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from inventory.colour.chart import sectors
from inventory.colour.reach import Reach
from inventory.printing.wheel import Piece, Sector, Tube, WheelSheet, Word, as_pdf, as_png, as_svg
from inventory.queries.wheel import Wheel
from inventory.queries.wheel_drawing import draw, is_neutral, numbered, radius, rim_angles
from inventory.views import wheel as pages
from studio import access
from studio.access import StudioRequest

KINDS = {
    "svg": ("image/svg+xml", as_svg),
    "png": ("image/png", as_png),
    "pdf": ("application/pdf", as_pdf),
}


@require_safe
@access.in_studio()
@pages.patient
def wheel_file(request: StudioRequest, kind: str) -> HttpResponse:
    """The drawing of a set at one value level; `ink=black` draws it without colour."""
    chosen = pages.set_asked(request)
    found = pages.wheel_of(chosen)
    level = pages.level_asked(request)
    if found is None or found.reached is None:
        # The page says why there is nothing to draw.
        return redirect(f"{reverse('inventory:wheel', args=[request.studio.slug])}{chosen.asked.address()}")
    sheet = wheel_sheet(request, found, found.reached, level)
    media, made = KINDS[kind]
    answer = HttpResponse(made(sheet), content_type=media)
    name = slugify(f"wheel {found.binder_label} L{level}")
    answer["Content-Disposition"] = f'attachment; filename="{name}.{kind}"'
    return answer


def wheel_sheet(request: StudioRequest, found: Wheel, reached: Reach, level: int) -> WheelSheet:
    """Everything that the file says, gathered from what the page shows."""
    drawing = draw(reached, level, found.drops)
    shares = {share.paint.pk: share for share in found.shares}
    angles = rim_angles(found.drops, level)
    tubes = []
    for number, drop in enumerate(numbered(found.drops), start=1):
        share = shares[drop.id]  # type: ignore[index]  # drops have the keys of paints
        tubes.append(
            Tube(
                number=number,
                name=drop.name,
                codes=" + ".join(line.code for line in share.paint.pigment_lines.all()),
                hex=drop.hex,
                angle=None if is_neutral(drop) else angles.get(drop.id),
                points=f"{share.points:.1f} points",
                holds=share.holds,
            )
        )
    cells = sectors(reached, level)
    return WheelSheet(
        title=f"Wheel of the {found.binder_label.lower()} paints at value L* {level}, {drawing.value}",
        paints=found.words[0].upper() + found.words[1:],
        studio=str(request.studio),
        made_on=timezone.localdate(),
        meaning="" if found.is_alone else found.meaning,
        how_sure=found.how_sure,
        gaps=() if found.is_alone else tuple(gap.sentence for gap in found.gaps[:5]),
        pieces=tuple(
            Piece(
                cell.hue_from if cell.hue_from < cell.hue_to else cell.hue_from - 360.0,
                cell.hue_to,
                radius(ring.chroma_from, level),
                radius(ring.chroma_to, level),
                ring.hex if ring.reached else None,
            )
            for cell in cells
            for ring in cell.rings
        ),
        sectors=tuple(
            Sector(cell.hue - 5.0, cell.hue + 5.0, radius(cell.chroma, level), radius(cell.limit, level))
            for cell in cells
        ),
        tubes=tuple(tubes),
        words=tuple(Word(word.lines, word.x, word.y, word.anchor) for word in drawing.words),
        black=request.GET.get("ink") == "black",
    )

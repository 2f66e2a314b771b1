"""Palettes: saved, changed, taken away, brought back."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.utils import timezone

from inventory.models import Binder, Group, OpticalRow, Paint, Palette, PalettePaint
from inventory.services.ledger import refuse
from studio.models import Studio, User

MOST_LINES = 40


@dataclass(frozen=True)
class Line:
    """One tube: a paint of the shelf, or a typical curve of a pigment that would have to be bought."""

    paint: Paint | None = None
    row: OpticalRow | None = None
    role: str = ""


@transaction.atomic
def save_palette(
    studio: Studio,
    *,
    name: str,
    binder: str,
    lines: Sequence[Line],
    by: User,
    group: Group | None = None,
    note: str = "",
    asked: Mapping[str, Any] | None = None,
) -> Palette:
    """A new palette of these tubes, in this order."""
    palette = Palette(studio=studio, by=by, asked=dict(asked or {}))
    return _put(palette, name=name, binder=binder, lines=lines, group=group, note=note)


@transaction.atomic
def change_palette(
    palette: Palette,
    *,
    name: str,
    lines: Sequence[Line] | None = None,
    group: Group | None = None,
    note: str = "",
) -> Palette:
    """Another name, group or note; and other tubes, where they are given."""
    held = Palette.objects.select_for_update().filter(pk=palette.pk, removed_at=None).first()
    if held is None:
        raise refuse("name", f"{palette} was taken away meanwhile: bring it back first.")
    return _put(held, name=name, binder=held.binder, lines=lines, group=group, note=note)


@transaction.atomic
def remove_palette(palette: Palette) -> bool:
    """Take it off the lists; lessons that used it keep it. False: somebody had taken it away already."""
    there = Palette.objects.filter(pk=palette.pk, removed_at=None)
    return bool(there.update(removed_at=timezone.now()))


@transaction.atomic
def bring_back_palette(palette: Palette) -> bool:
    """Put it on the lists again, unless another has taken its name."""
    held = Palette.objects.select_for_update().filter(pk=palette.pk).exclude(removed_at=None).first()
    if held is None:
        return False
    if Palette.objects.filter(studio=held.studio_id, name=held.name, removed_at=None).exists():
        raise refuse("name", f"Another palette is called “{held.name}” by now: rename that one first.")
    held.removed_at = None
    held.save(update_fields=["removed_at"])
    return True


def _put(
    palette: Palette, *, name: str, binder: str, lines: Sequence[Line] | None, group: Group | None, note: str
) -> Palette:
    palette.name, palette.binder, palette.note = " ".join(name.split()), binder, " ".join(note.split())
    if group is not None and (group.studio_id != palette.studio_id or group.removed_at is not None):
        raise refuse("group", f"{group} is no group of this studio. Choose one of the list.")
    palette.group = group
    if not palette.name:
        raise refuse("name", "A palette needs a name, such as: six for the evening class.")
    others = Palette.objects.filter(studio=palette.studio_id, removed_at=None).exclude(pk=palette.pk)
    if others.filter(name=palette.name).exists():
        raise refuse("name", f"Name: this studio already has a palette called “{palette.name}”. Give another name.")
    if lines is not None and not lines:
        raise refuse("tubes", "No tube is chosen: tick one at least.")
    if binder not in Binder.values or binder == Binder.UNKNOWN:
        raise refuse("tubes", "The binder of these tubes is not known. Enter it on the paint first.")
    if lines is not None:
        _check(palette, lines)
        palette.asked = {**palette.asked, "shades": _shades(lines)}
    palette.full_clean()
    palette.save()
    if lines is not None:
        palette.paints.all().delete()
        PalettePaint.objects.bulk_create(
            PalettePaint(
                palette=palette,
                position=position,
                item=line.paint,
                pigment=line.row.pigment if line.row is not None else None,
                role=line.role[:60],
            )
            for position, line in enumerate(lines, start=1)
        )
    return palette


def _check(palette: Palette, lines: Sequence[Line]) -> None:
    if len(lines) > MOST_LINES:
        raise refuse("tubes", f"{len(lines)} tubes are chosen, and a palette holds {MOST_LINES} at most.")
    keys = [("item", line.paint.pk) if line.paint else ("row", line.row.pk if line.row else 0) for line in lines]
    if len(set(keys)) != len(keys):
        raise refuse("tubes", "A tube is chosen twice: take it once.")
    for line in lines:
        if line.paint is None:
            continue
        if line.paint.studio_id != palette.studio_id:
            raise refuse("tubes", f"{line.paint} is not one of this studio’s paints.")
        if line.paint.archived_at is not None:
            raise refuse("tubes", f"{line.paint} was put away meanwhile: take it out, or bring it back first.")
        if line.paint.binder != palette.binder:
            raise refuse(
                "tubes",
                f"{line.paint} is {line.paint.get_binder_display().lower()} and the palette is "
                f"{Binder(palette.binder).label.lower()}; a palette has one binder. Take one of them out.",
            )


def _shades(lines: Sequence[Line]) -> dict[str, str]:
    """Which colour of a pigment is meant, by position: one code may be sold in several."""
    return {str(position): line.row.name for position, line in enumerate(lines, start=1) if line.row is not None}

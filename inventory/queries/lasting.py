"""What the labels and the reference table say of paints that are mixed: the weakest lightfastness, and the metals."""

from collections.abc import Sequence

from inventory.labels.marks import Band, MakerScale, Mark, read_lightfastness, weakest
from inventory.labels.marks import LightfastnessScale as Scale
from inventory.models import LightfastnessScale, Paint
from inventory.queries.pigment_words import metal_words
from inventory.queries.wheel import listed

TYPICAL = "where a label has no mark, what is common for its pigments is taken"


def weakest_in_words(paints: Sequence[Paint]) -> str:
    """The lightfastness of the weakest of these paints; needs the pigment lines at hand."""
    marks, typical = [], False
    for paint in paints:
        mark = _marked(paint)
        if mark is None:
            mark, typical = _usual(paint), True
        marks.append(mark)
    found = weakest(marks).message.rstrip(".")
    return f"{found}; {TYPICAL}." if typical else f"{found}."


def fades(paint: Paint) -> str:
    """The mark by which a paint is known to fade; empty where it is not known to. Needs the pigment lines at hand.

    What a label says on its own scale decides; without it, what is common for the weakest of its pigments.
    """
    mark = _marked(paint)
    if mark is not None and mark.coarse is not Band.UNKNOWN:
        said = f"label: {mark.text}, {paint.get_lightfastness_scale_display()}"
        return said if mark.coarse is Band.FUGITIVE else ""
    worst = [
        f"{line.code}, ASTM {line.pigment.lightfastness_astm}"
        for line in paint.pigment_lines.all()
        if line.pigment is not None
        and read_lightfastness(line.pigment.lightfastness_astm, scale=Scale.ASTM).coarse is Band.FUGITIVE
    ]
    return listed(worst)


def metals_in_words(paints: Sequence[Paint]) -> str:
    """Which metals their pigments hold; never that there is no hazard. Needs the pigment lines at hand."""
    metals: dict[str, None] = {}
    unknown = []
    for paint in paints:
        lines = list(paint.pigment_lines.all())
        if not lines or any(line.pigment is None for line in lines):
            unknown.append(paint.name)
        for line in lines:
            if line.pigment is not None:
                metals.update(dict.fromkeys(metal_words(line.pigment)))
    doubt = f" The pigments of {listed(unknown)} are not all known here." if unknown else ""
    if metals:
        return f"Contains {listed(list(metals))}; read the makers' sheets.{doubt}"
    return f"No metal is listed here, which does not make it harmless; read the makers' sheets.{doubt}"


def _marked(paint: Paint) -> Mark | None:
    """The label's own mark on its scale; None where there is none."""
    if not paint.lightfastness:
        return None
    scale: Scale | MakerScale = Scale(paint.lightfastness_scale)
    if paint.lightfastness_scale == LightfastnessScale.MAKER:
        # Its order is not kept with the paint, so it is read as what it is: a mark of the maker's own.
        return read_lightfastness(paint.lightfastness_text or paint.lightfastness)
    return read_lightfastness(paint.lightfastness, scale=scale)


def _usual(paint: Paint) -> Mark:
    """The worst of what is common for its pigments, on the ASTM scale; unknown where one is not known."""
    marks = [
        read_lightfastness(line.pigment.lightfastness_astm if line.pigment else "", scale=Scale.ASTM)
        for line in paint.pigment_lines.all()
    ]
    found = weakest(marks)
    return Mark("") if found.mark is None or found.at_best else found.mark

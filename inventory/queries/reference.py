"""The reference rows as the label reader and the colour engine take them."""

from inventory.labels import EXTENDERS, KnownPigment, Vocabulary
from inventory.models import Pigment


def vocabulary() -> Vocabulary:
    """Every pigment of the reference table as the label reader knows it; one query.

    Shades are left to the typical curves, which say which colours are sold under one code.
    """
    return Vocabulary(
        (
            KnownPigment(
                pigment.ci_name,
                pigment.ci_full,
                tuple(pigment.ci_number.split(";")) if pigment.ci_number else (),
                tuple(pigment.names),
                pigment.hue_family,
                tuple(pigment.metal_list),
                pigment.ci_name in EXTENDERS,
            )
            for pigment in Pigment.objects.all()
        ),
        shades={},
    )

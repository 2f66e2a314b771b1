"""A palette: the paints of one binder that may be mixed with one another, as arrays."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from inventory.colour.appearance import WAVELENGTHS_NM, chroma
from inventory.colour.curves import Curve
from inventory.colour.mixing import masstone_lab

Floats = NDArray[np.float64]

# A masstone this light and this grey is a white: it makes tints. Bounds in CIELAB, our judgement: unbleached titanium,
# Naples yellow and the like stay colours.
WHITE_LEAST_LIGHTNESS = 90.0
WHITE_MOST_CHROMA = 10.0
# A masstone of less chroma than this that is not a white is a neutral (blacks, greys). It mixes like any other paint.
NEUTRAL_MOST_CHROMA = 5.0


@dataclass(frozen=True, eq=False)
class Palette:
    """n paints of one binder: ids and names in the same order, absorption and scattering (n, 31).

    Paints of different binders are not mixed, so a palette has one binder, and two palettes are joined only if they
    have the same. Colours, blacks and greys are members of mixtures; every white is a tinting white.
    """

    ids: tuple[Hashable, ...]
    names: tuple[str, ...]
    k: Floats
    s: Floats
    binder: str

    def __post_init__(self) -> None:
        object.__setattr__(self, "ids", tuple(self.ids))
        object.__setattr__(self, "names", tuple(self.names))
        n = len(self.ids)
        if len(self.names) != n:
            raise ValueError(f"a palette of {n} paints needs {n} names, not {len(self.names)}")
        if len(set(self.ids)) != n:
            repeated = next(i for i in self.ids if self.ids.count(i) > 1)
            raise ValueError(f"each paint must have its own id; {repeated!r} stands twice")
        for name in ("k", "s"):
            values = np.array(getattr(self, name), dtype=np.float64)
            if not n and not values.size:
                values = values.reshape(0, WAVELENGTHS_NM.size)
            if values.shape != (n, WAVELENGTHS_NM.size):
                raise ValueError(f"{name} must have the shape ({n}, {WAVELENGTHS_NM.size}), not {values.shape}")
            good = np.isfinite(values) & ((values >= 0.0) if name == "k" else (values > 0.0))
            if not good.all():
                i, j = np.argwhere(~good)[0]
                limit = "0 or more" if name == "k" else "above 0"
                raise ValueError(
                    f"{name} of {self.names[i]} at {WAVELENGTHS_NM[j]:g} nm must be finite and {limit}, "
                    f"not {values[i, j]:g}; correct the curve"
                )
            values.setflags(write=False)
            object.__setattr__(self, name, values)

    @classmethod
    def of(cls, paints: Iterable[tuple[Hashable, str, Curve]], binder: str) -> Palette:
        """Build a palette from (id, name, curve)."""
        rows = list(paints)
        return cls(
            ids=tuple(row[0] for row in rows),
            names=tuple(row[1] for row in rows),
            k=np.array([row[2].k for row in rows], dtype=np.float64),
            s=np.array([row[2].s for row in rows], dtype=np.float64),
            binder=binder,
        )

    def __len__(self) -> int:
        return len(self.ids)

    def index(self, paint_id: Hashable) -> int:
        try:
            return self.ids.index(paint_id)
        except ValueError:
            raise ValueError(f"no paint with the id {paint_id!r} is in this palette; add it first") from None

    def take(self, indices: Sequence[int]) -> Palette:
        """Return the palette of the paints at these places."""
        chosen = [int(i) for i in indices]
        ids, names = tuple(self.ids[i] for i in chosen), tuple(self.names[i] for i in chosen)
        return Palette(ids, names, self.k[chosen], self.s[chosen], self.binder)

    def without(self, paint_id: Hashable) -> Palette:
        gone = self.index(paint_id)
        return self.take([i for i in range(len(self)) if i != gone])

    def plus(self, other: Palette) -> Palette:
        """Return both palettes as one; the binders must agree."""
        if other.binder != self.binder:
            raise ValueError(
                f"paints in {self.binder} and in {other.binder} are not mixed; compare palettes of one binder"
            )
        k, s = np.vstack((self.k, other.k)), np.vstack((self.s, other.s))
        return Palette(self.ids + other.ids, self.names + other.names, k, s, self.binder)

    @cached_property
    def masstones(self) -> Floats:
        """CIELAB (n, 3) of the paints alone."""
        return masstone_lab(self.k, self.s) if len(self) else np.empty((0, 3))

    @cached_property
    def is_white(self) -> NDArray[np.bool_]:
        lab = self.masstones
        return np.asarray((lab[:, 0] >= WHITE_LEAST_LIGHTNESS) & (chroma(lab) <= WHITE_MOST_CHROMA))

    @cached_property
    def is_neutral(self) -> NDArray[np.bool_]:
        return np.asarray(~self.is_white & (chroma(self.masstones) < NEUTRAL_MOST_CHROMA))

    @property
    def members(self) -> NDArray[np.intp]:
        """Places of the paints that mix with one another: all but the whites."""
        return np.flatnonzero(~self.is_white)

    @property
    def whites(self) -> NDArray[np.intp]:
        """Places of the whites, the strongest (greatest mean scattering) first."""
        found = np.flatnonzero(self.is_white)
        return found[np.argsort(-self.s[found].mean(axis=1), kind="stable")]

    @property
    def white_index(self) -> int | None:
        """Place of the strongest white, or None: then there are no tints."""
        whites = self.whites
        return int(whites[0]) if len(whites) else None

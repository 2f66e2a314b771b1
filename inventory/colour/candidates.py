"""Which pigments a paint may be made of: those of its label, and those whose typical colours come nearest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import islice, product

import numpy as np
from numpy.typing import NDArray

from inventory.colour.appearance import difference, lab_from_relative_xyz
from inventory.colour.curves import BandRow, choose_row, from_bands
from inventory.colour.prior import SD_STRENGTH, SD_STRENGTH_ALONE, Blends, Prior, SinglePigments
from inventory.colour.samples import Observed
from inventory.colour.solve import Readings
from inventory.colour.viewing import weights_under

Floats = NDArray[np.float64]

NEAREST = 8
# How much likelier the label's own pigments are than any other candidate, as a logarithm.
LABEL_BONUS = float(np.log(20.0))
# Colours that share a code multiply in a paint of several pigments; no more combinations than this are compared.
MOST_COMBINATIONS = 64
WHITE_FAMILY = "white"


@dataclass(frozen=True, eq=False)
class Group:
    """Candidates of one kind: their prior, what each is, whether the label names it, and its bonus."""

    prior: Prior
    names: tuple[str, ...]
    labelled: tuple[bool, ...]
    bonus: Floats


@dataclass(frozen=True)
class Labelled:
    """What the codes of a label point to: one tuple of rows for each way to read it, and the codes without a row."""

    readings: tuple[tuple[BandRow, ...], ...]
    missing: tuple[str, ...]


def read_label(codes: Sequence[str], name: str, rows: Sequence[BandRow]) -> Labelled:
    """Return the rows that the codes of a label stand for.

    A code shared by several colours that the paint's name does not tell apart is read in every way. A code without a
    row of its own takes those of its crystal forms and shades (PB15:4 those of PB15:1, PB15:3).
    """
    options, missing = [], []
    for code in codes:
        found = [row for row in rows if row.ci == code]
        if not found:
            stem = code.split(":")[0]
            found = [row for row in rows if row.ci.split(":")[0] == stem]
        if not found:
            missing.append(code)
            continue
        choice = choose_row(found, name)
        options.append((choice.row,) if choice.row is not None else choice.options)
    if missing or not options:
        return Labelled((), tuple(missing))
    return Labelled(tuple(islice(product(*options), MOST_COMBINATIONS)), ())


def groups_of(observed: Observed, rows: Sequence[BandRow], readings: Readings) -> tuple[Group, ...]:
    """Return the candidates of a paint: its label first, then the pigments whose typical colours come nearest.

    With a masstone alone the label's prior stands alone: other pigments of the same masstone have quite other tints.
    """
    label = read_label(observed.codes, observed.name, rows).readings
    only_alone = not observed.tints
    groups = []
    singles = [reading[0] for reading in label if len(reading) == 1]
    blends = [reading for reading in label if len(reading) > 1]
    if blends:
        groups.append(_blend(blends, observed, readings))
    if label and only_alone:
        if singles:
            groups.append(_singles(singles, len(singles), SD_STRENGTH_ALONE))
        return tuple(groups)
    known = {id(row) for row in singles}
    others = [row for row in rows if row.family != WHITE_FAMILY and id(row) not in known]
    room = max(0, NEAREST - len(singles) - len(groups))
    nearest = [others[i] for i in _nearest(others, observed, readings)[:room]]
    if singles or nearest:
        groups.append(_singles([*singles, *nearest], len(singles), SD_STRENGTH))
    if not groups:
        raise ValueError("there is no typical curve to start from; load the optics table first")
    return tuple(groups)


def _singles(rows: Sequence[BandRow], labelled: int, sd_strength: float) -> Group:
    bonus = np.zeros(len(rows))
    bonus[:labelled] = LABEL_BONUS - np.log(max(1, labelled))
    return Group(
        prior=SinglePigments(rows, sd_strength=sd_strength),
        names=tuple(f"{row.ci} {row.name}" for row in rows),
        labelled=tuple(i < labelled for i in range(len(rows))),
        bonus=bonus,
    )


def _blend(label: Sequence[tuple[BandRow, ...]], observed: Observed, readings: Readings) -> Group:
    """Return the blend of the label's pigments; of several ways to read it, the one whose equal parts come nearest."""
    curves = {id(row): from_bands(row) for reading in label for row in reading}
    k = np.stack([np.stack([curves[id(row)].k for row in reading]) for reading in label])
    s = np.stack([np.stack([curves[id(row)].s for row in reading]) for reading in label])
    apart = _apart(k.mean(axis=1), s.mean(axis=1), observed, readings)
    best = int(apart.argmin())
    name = " + ".join(f"{row.ci} {row.name}" for row in label[best])
    return Group(Blends(k[[best]], s[[best]]), (name,), (True,), np.array([LABEL_BONUS]))


def _nearest(rows: Sequence[BandRow], observed: Observed, readings: Readings) -> list[int]:
    if not rows:
        return []
    prior = SinglePigments(rows)
    every = np.arange(len(rows))
    log_k, s, per = prior.base(np.zeros((len(rows), len(prior.sd))), every)
    k = np.exp(log_k)
    return [int(i) for i in np.argsort(_apart(k, s + per * k, observed, readings), kind="stable")]


def _apart(k: Floats, s: Floats, observed: Observed, readings: Readings) -> Floats:
    """Return the sum of CIEDE2000 between typical colours and the paint's own (n,)."""
    R = readings.reflectance(np.log(k), np.log(s))
    labs = lab_from_relative_xyz(R @ weights_under(observed.viewing).T)
    own = np.stack([sample.colour(observed.viewing) for sample in observed.samples])
    return np.asarray(difference(labs, own).sum(axis=-1))

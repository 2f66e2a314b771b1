"""Solvent vapour in a room, worked out for a room whose air is ideally mixed.

These are screening estimates, not an exposure assessment: near the work, the rag and the jar there is always more.

Every function takes plain floats with the unit in the name. Concentrations go by mg/m3, but the balances hold for any
unit of amount: a source in m3/h and air in m3/h give a share of the volume.

Two conventions for poor mixing are in print and easily taken for one another. Here it is the mixing factor K, 1 or
more, as in industrial hygiene: the air that counts is Q/K. Chemical engineering prints k, at most 1, and k Q: k = 1/K.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass

# Exposure limits in ppm and mg/m3 are printed with this volume of a mole: 25 degrees Celsius, 760 mm of mercury.
MOLAR_VOLUME_25_C_L_MOL = 24.45
ATMOSPHERE_KPA = 101.325
KPA_PER_MMHG = 0.133322
GAS_CONSTANT = 8.314462618  # J/(mol K), CODATA 2018
ABSOLUTE_ZERO_C = -273.15
# What every page says that shows a figure of this module.
SCREENING = "a screening estimate for an ideally mixed room, not an exposure assessment"


def molar_volume_l_mol(temperature_c: float, pressure_kpa: float = ATMOSPHERE_KPA) -> float:
    """Return the volume of a mole of ideal gas, in litres: R T / p.

    Raises
    ------
    ValueError
        If the temperature is not above absolute zero or the pressure is not above 0.
    """
    kelvin = _finite("temperature_c", temperature_c) - ABSOLUTE_ZERO_C
    if kelvin <= 0:
        raise ValueError(f"temperature_c must be above {ABSOLUTE_ZERO_C}, not {temperature_c}")
    return GAS_CONSTANT * kelvin / _above_zero("pressure_kpa", pressure_kpa)


def ppm(mg_m3: float, *, molar_mass_g_mol: float, molar_volume: float = MOLAR_VOLUME_25_C_L_MOL) -> float:
    """Return parts per million by volume of a concentration in mg/m3: C Vm / M, Vm in litres a mole."""
    volume = _above_zero("molar_volume", molar_volume)
    return _not_below_zero("mg_m3", mg_m3) * volume / _above_zero("molar_mass_g_mol", molar_mass_g_mol)


def mg_m3(parts_ppm: float, *, molar_mass_g_mol: float, molar_volume: float = MOLAR_VOLUME_25_C_L_MOL) -> float:
    """Return mg/m3 of a concentration in parts per million by volume: C M / Vm, Vm in litres a mole."""
    mass = _above_zero("molar_mass_g_mol", molar_mass_g_mol)
    return _not_below_zero("parts_ppm", parts_ppm) * mass / _above_zero("molar_volume", molar_volume)


def saturation_ppm(vapour_pressure_kpa: float, pressure_kpa: float = ATMOSPHERE_KPA) -> float:
    """Return what air can hold at most, in parts per million: 1e6 times vapour pressure over air pressure.

    Raises
    ------
    ValueError
        If the vapour pressure is above that of the air: then the liquid boils and this rule says nothing.
    """
    vapour = _not_below_zero("vapour_pressure_kpa", vapour_pressure_kpa)
    air = _above_zero("pressure_kpa", pressure_kpa)
    if vapour > air:
        raise ValueError(f"vapour_pressure_kpa must be at most the air's {air:g}, not {vapour:g}: the liquid boils")
    return 1e6 * vapour / air


def liquid_mass_mg(volume_ml: float, *, density_g_ml: float, share: float = 1.0) -> float:
    """Return the mass of solvent in a liquid. `share` is a fraction by mass: 4 % is 0.04.

    Raises
    ------
    ValueError
        If `share` is not between 0 and 1.
    """
    if not 0.0 <= share <= 1.0:
        raise ValueError(f"share must be a fraction from 0 to 1, not {share}: 4 % is 0.04")
    return _not_below_zero("volume_ml", volume_ml) * _above_zero("density_g_ml", density_g_ml) * share * 1000.0


def vapour_l(mass_g: float, *, molar_mass_g_mol: float, molar_volume: float = MOLAR_VOLUME_25_C_L_MOL) -> float:
    """Return the litres of vapour that a mass of liquid becomes: m / M Vm. A flow of mass gives a flow of vapour."""
    mass = _not_below_zero("mass_g", mass_g) / _above_zero("molar_mass_g_mol", molar_mass_g_mol)
    return mass * _above_zero("molar_volume", molar_volume)


def all_at_once_mg_m3(mass_mg: float, volume_m3: float) -> float:
    """Return the concentration when all of it is in the air of a closed room: m / V."""
    return _not_below_zero("mass_mg", mass_mg) / _above_zero("volume_m3", volume_m3)


def air_changes_h(fresh_air_m3_h: float, volume_m3: float) -> float:
    """Return how often an hour the air is changed: n = Q / V."""
    return _not_below_zero("fresh_air_m3_h", fresh_air_m3_h) / _above_zero("volume_m3", volume_m3)


def fresh_air_from_half_life_m3_h(volume_m3: float, half_life_h: float) -> float:
    """Return the flow of fresh air from the time in which a harmless tracer falls to half: Q = ln 2 V / t.

    References
    ----------
    M. Jayjock, A simple tracer gas technique to measure ventilation (2013).
    """
    return math.log(2.0) * _above_zero("volume_m3", volume_m3) / _above_zero("half_life_h", half_life_h)


def steady_mg_m3(
    source_mg_h: float, fresh_air_m3_h: float, *, mixing_factor: float = 1.0, incoming_mg_m3: float = 0.0
) -> float:
    """Return the concentration that a steady source comes to: C_in + K G / Q.

    Without fresh air it grows without end: infinity, or C_in when there is no source either.

    References
    ----------
    Crowl and Louvar, Chemical Process Safety, chapter 3, with k = 1/K.
    """
    source, flow = _not_below_zero("source_mg_h", source_mg_h), _effective(fresh_air_m3_h, mixing_factor)
    incoming = _not_below_zero("incoming_mg_m3", incoming_mg_m3)
    if flow == 0.0:
        return incoming if source == 0.0 else math.inf
    return incoming + source / flow


def needed_air_m3_h(source_mg_h: float, limit_mg_m3: float, *, mixing_factor: float = 1.0) -> float:
    """Return the fresh air that holds a steady source at a concentration: Q = K G / C."""
    source = _not_below_zero("source_mg_h", source_mg_h)
    return _factor(mixing_factor) * source / _above_zero("limit_mg_m3", limit_mg_m3)


def concentration_mg_m3(
    time_h: float,
    *,
    source_mg_h: float,
    fresh_air_m3_h: float,
    volume_m3: float,
    mixing_factor: float = 1.0,
    start_mg_m3: float = 0.0,
    incoming_mg_m3: float = 0.0,
) -> float:
    """Return the concentration after a time.

    C = C_in + G/Q' + (C0 - C_in - G/Q') exp(-n t), with Q' = Q/K and n = Q'/V. Without fresh air C = C0 + G t / V.
    """
    time, source = _not_below_zero("time_h", time_h), _not_below_zero("source_mg_h", source_mg_h)
    start = _not_below_zero("start_mg_m3", start_mg_m3)
    incoming = _not_below_zero("incoming_mg_m3", incoming_mg_m3)
    volume = _above_zero("volume_m3", volume_m3)
    changes = _effective(fresh_air_m3_h, mixing_factor) / volume
    gone = -math.expm1(-changes * time)  # the share of the old air that is gone
    # (1 - exp(-n t)) / n, which is t where n is 0.
    worked = gone / changes if changes > 0.0 and gone > 0.0 else time
    return start + (incoming - start) * gone + source / volume * worked


def purge_h(
    start_mg_m3: float, target_mg_m3: float, *, fresh_air_m3_h: float, volume_m3: float, mixing_factor: float = 1.0
) -> float:
    """Return the time in which fresh clean air brings a concentration down, with no source left: K V/Q ln(C0/C).

    0 when it is there already; infinity without fresh air.

    Raises
    ------
    ValueError
        If the target is not above 0: clean air is never quite reached.

    References
    ----------
    CDC, MMWR 28 October 1994 (RR-13), table S3-1, with its mixing factor of 1 to 10.
    """
    target, start = _above_zero("target_mg_m3", target_mg_m3), _not_below_zero("start_mg_m3", start_mg_m3)
    changes = _effective(fresh_air_m3_h, mixing_factor) / _above_zero("volume_m3", volume_m3)
    if start <= target:
        return 0.0
    return math.log(start / target) / changes if changes > 0.0 else math.inf


def reach_h(
    target_mg_m3: float, *, source_mg_h: float, fresh_air_m3_h: float, volume_m3: float, mixing_factor: float = 1.0
) -> float:
    """Return when a steady source brings clean air to a concentration; infinity where it never does."""
    target, source = _not_below_zero("target_mg_m3", target_mg_m3), _not_below_zero("source_mg_h", source_mg_h)
    volume = _above_zero("volume_m3", volume_m3)
    changes = _effective(fresh_air_m3_h, mixing_factor) / volume
    if source == 0.0:
        return 0.0 if target == 0.0 else math.inf
    if changes == 0.0:
        return target * volume / source
    share = target * changes * volume / source
    return -math.log1p(-share) / changes if share < 1.0 else math.inf


def mixture_index(parts: Iterable[tuple[float, float]]) -> float:
    """Return the sum of concentration over limit of things that act alike; above 1 the mixture is over its limit.

    References
    ----------
    29 CFR 1910.1000(d)(2)(i).
    """
    return math.fsum(_not_below_zero("C", found) / _above_zero("limit", limit) for found, limit in parts)


@dataclass(frozen=True)
class Capped:
    """A concentration as worked out, and as it can be: never above what the air holds."""

    worked_ppm: float
    ppm: float
    saturated: bool


def capped_ppm(worked_ppm: float, saturated_ppm: float | None) -> Capped:
    """Return the concentration held down to saturation; with None, not known, it stays as it is."""
    worked = worked_ppm if worked_ppm == math.inf else _not_below_zero("worked_ppm", worked_ppm)
    if saturated_ppm is None or worked <= saturated_ppm:
        return Capped(worked, worked, saturated=False)
    return Capped(worked, saturated_ppm, saturated=True)


def _factor(mixing_factor: float) -> float:
    if _finite("mixing_factor", mixing_factor) < 1.0:
        raise ValueError(
            f"mixing_factor must be K, 1 or more, not {mixing_factor}: where a text prints k of at most 1, K is 1/k"
        )
    return mixing_factor


def _effective(fresh_air_m3_h: float, mixing_factor: float) -> float:
    return _not_below_zero("fresh_air_m3_h", fresh_air_m3_h) / _factor(mixing_factor)


def _finite(name: str, value: float) -> float:
    if not math.isfinite(value):
        raise ValueError(f"{name} must be a number, not {value}")
    return value


def _above_zero(name: str, value: float) -> float:
    if _finite(name, value) <= 0.0:
        raise ValueError(f"{name} must be above 0, not {value}")
    return value


def _not_below_zero(name: str, value: float) -> float:
    if _finite(name, value) < 0.0:
        raise ValueError(f"{name} must be 0 or more, not {value}")
    return value

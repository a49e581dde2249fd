"""The air of the room held against published limits of exposure, and against the lower explosive limit.

The limits are passed in, each with its source in the rule base.  A report says what is exceeded; that
nothing is exceeded never says that it is safe.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from advisor.physics.bounds import monotone_in
from advisor.physics.mixing import GAS_CONSTANT
from advisor.physics.room_air import hours_to_reach, mean_concentration, peak_concentration
from advisor.physics.units import ATMOSPHERE, ZERO_CELSIUS
from advisor.physics.validity import Number, within

ROOM_TEMP_C = 25.0  # at which limits are stated: 24.45 L/mol
_WINDOW_STARTS = 200


@monotone_in("molar_mass_g", "temp_c", "pressure_pa")
def mg_m3_per_ppm(molar_mass_g: Number, temp_c: float = ROOM_TEMP_C, pressure_pa: float = ATMOSPHERE) -> Number:
    """Mass concentration [mg/m3] of 1 ppm by volume: multiply ppm by it, divide mg/m3 by it.

    Valid: 1 to 1000 g/mol, -50 to 100 °C, 50 000 to 110 000 Pa.  Source: the ideal gas, 24.465 L/mol at 25 °C
    (the NIOSH Pocket Guide to Chemical Hazards rounds to 24.45, which is 0.06 % more; from memory).

    >>> round(mg_m3_per_ppm(28.01), 4)
    1.1449
    """
    kelvin = within("temperature", temp_c, -50.0, 100.0, "°C") + ZERO_CELSIUS
    pressure = within("air_pressure", pressure_pa, 50_000.0, 110_000.0, "Pa")
    return within("molar_mass", molar_mass_g, 1.0, 1000.0, "g/mol") * pressure / (GAS_CONSTANT * kelvin) / 1000.0


@monotone_in("ppm", "lower_explosive_percent")
def share_of_explosive_limit(ppm: Number, lower_explosive_percent: Number) -> Number:
    """Concentration over the lower explosive limit (0.1 to 100 % by volume); near the source it is higher.

    >>> round(share_of_explosive_limit(6605.0, 2.5), 2)
    0.26
    """
    limit = within("lower_explosive_limit", lower_explosive_percent, 0.1, 100.0, "%") * 1e4
    return within("concentration", ppm, 0.0, 1e6, "ppm") / limit


@dataclass(frozen=True)
class Limit:
    """A published limit [mg/m3], averaged over so many hours (0 to 24); 0 is a ceiling."""

    name: str
    mg_m3: float
    averaged_over_h: float


@dataclass(frozen=True)
class Work:
    """A source in a room, as in ``room_air``, and the hours (0.01 to 24) that someone is in there."""

    source_mg_h: float
    decay_per_h: float
    air_changes_per_h: float
    volume_m3: float
    hours: float


@dataclass(frozen=True)
class LimitCheck:
    """What a limit is held against [mg/m3], whether it is exceeded, and when the air reaches its value [h].

    That time is of the source going on, whether or not the work lasts so long; inf is never.
    """

    limit: Limit
    exposure_mg_m3: float
    exceeded: bool
    reached_after_h: float


@dataclass(frozen=True)
class ExposureReport:
    """Peak of the air [mg/m3], and each limit's check."""

    peak_mg_m3: float
    checks: tuple[LimitCheck, ...]


def average_exposure(work: Work, window_h: float) -> float:
    """Exposure [mg/m3] averaged over the worst window of 0.01 to 24 h; outside the work it is none."""
    window = within("averaging_time", window_h, 0.01, 24.0, "h")
    hours = within("hours_of_work", work.hours, 0.01, 24.0, "h")
    source = (work.source_mg_h, work.decay_per_h, work.air_changes_per_h, work.volume_m3)
    if window >= hours:
        return mean_concentration(*source, hours) * hours / window

    def dose(until: float) -> float:
        return mean_concentration(*source, until) * until if until > 1e-6 else 0.0

    starts = [(hours - window) * step / _WINDOW_STARTS for step in range(_WINDOW_STARTS + 1)]
    return max(dose(start + window) - dose(start) for start in starts) / window


def hold_against(work: Work, limits: Sequence[Limit]) -> ExposureReport:
    """Check a piece of work against limits; raises OutsideValidity as ``room_air`` does."""
    source = (work.source_mg_h, work.decay_per_h, work.air_changes_per_h, work.volume_m3)
    peak = peak_concentration(*source, within("hours_of_work", work.hours, 0.01, 24.0, "h"))
    checks = []
    for limit in limits:
        exposure = average_exposure(work, limit.averaged_over_h) if limit.averaged_over_h else peak
        reached = hours_to_reach(limit.mg_m3, *source)
        checks.append(LimitCheck(limit, exposure, exposure > limit.mg_m3, reached))
    return ExposureReport(peak, tuple(checks))

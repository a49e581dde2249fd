"""What stands in the air of a room while someone works in it: solvent, carbon monoxide, dust.

One well-mixed room of volume V, aired at a rate a, with a source S exp(-k t): dC/dt = S exp(-k t)/V - a C.
Steady sources have k = 0; a coat that dries has k about 1/(its drying time).  Units of the trade: mg/h, m3,
air changes per hour, h, mg/m3.  Valid: S 0 to 1e12 mg/h, k and a 0 to 10 000 1/h, V 0.1 to 1e6 m3, t 0 to
10 000 h; else OutsideValidity.  Air is never well mixed near the source: where someone kneels it is worse,
so no figure of it clears anyone to work.  Source: the mass balance; its solution is a textbook's (Bateman).
"""

from __future__ import annotations

from math import inf
from typing import TYPE_CHECKING

from advisor.physics.bounds import monotone_in
from advisor.physics.elementwise import choose, decay_mean, exp, greatest, least, log
from advisor.physics.validity import Number, within

if TYPE_CHECKING:
    from advisor.physics.validity import Mask

MOST_HOURS, MOST_PER_HOUR = 10_000.0, 10_000.0
_HALVINGS = 80


def _rates(
    source_mg_h: Number, decay_per_h: Number, air_changes_per_h: Number, volume_m3: Number
) -> tuple[Number, Number, Number]:
    """Source over volume, and the slower and the faster of decay and airing."""
    strength = within("source", source_mg_h, 0.0, 1e12, "mg/h") / within("volume", volume_m3, 0.1, 1e6, "m3")
    decay = within("decay_of_source", decay_per_h, 0.0, MOST_PER_HOUR, "1/h")
    airing = within("air_changes", air_changes_per_h, 0.0, MOST_PER_HOUR, "1/h")
    return strength, least(decay, airing), greatest(decay, airing)


@monotone_in("source_mg_h", "decay_per_h", "air_changes_per_h", "volume_m3")
def concentration(
    source_mg_h: Number, decay_per_h: Number, air_changes_per_h: Number, volume_m3: Number, hours: Number
) -> Number:
    """Concentration [mg/m3] after some hours, the air being clean at the start.

    >>> round(concentration(1000.0, 0.0, 2.0, 50.0, 100.0), 6)      # the steady state S/(a V)
    10.0
    """
    strength, slow, fast = _rates(source_mg_h, decay_per_h, air_changes_per_h, volume_m3)
    time = within("hours", hours, 0.0, MOST_HOURS, "h")
    # The solution is symmetric in decay and airing; written so, equal ones need no case of their own.
    return strength * time * exp(-slow * time) * decay_mean((fast - slow) * time)


@monotone_in("source_mg_h", "decay_per_h", "air_changes_per_h", "volume_m3")
def mean_concentration(
    source_mg_h: Number, decay_per_h: Number, air_changes_per_h: Number, volume_m3: Number, hours: Number
) -> Number:
    """Mean concentration [mg/m3] over the first hours (at least 1e-6): the time-weighted average.

    >>> round(mean_concentration(1000.0, 0.0, 0.0, 50.0, 2.0), 6)   # rises in a straight line to 40
    20.0
    """
    strength, slow, fast = _rates(source_mg_h, decay_per_h, air_changes_per_h, volume_m3)
    time = within("hours", hours, 1e-6, MOST_HOURS, "h")
    # A difference over a gap; a gap too small to divide by is widened about its middle (1e-9 off).
    middle, half_gap = (slow + fast) / 2.0, greatest(fast - slow, 1e-4 / time) / 2.0
    difference = decay_mean((middle - half_gap) * time) - decay_mean((middle + half_gap) * time)
    return strength * difference / (2.0 * half_gap)


def _hours_to_peak(slow: Number, fast: Number) -> Number:
    """When the concentration turns, at most MOST_HOURS."""
    fast = greatest(fast, 0.0 * fast + 1e-299)  # a rate of 0 peaks never, which these floors put off enough
    slow = greatest(least(slow, fast * (1.0 - 1e-6)), 0.0 * slow + 1e-300)
    return least(log(fast / slow) / (fast - slow), 0.0 * slow + MOST_HOURS)


@monotone_in("source_mg_h", "decay_per_h", "air_changes_per_h", "volume_m3", "hours")
def peak_concentration(
    source_mg_h: Number, decay_per_h: Number, air_changes_per_h: Number, volume_m3: Number, hours: Number
) -> Number:
    """Highest concentration [mg/m3] within the first hours."""
    _, slow, fast = _rates(source_mg_h, decay_per_h, air_changes_per_h, volume_m3)
    worst = least(within("hours", hours, 0.0, MOST_HOURS, "h"), _hours_to_peak(slow, fast))
    return concentration(source_mg_h, decay_per_h, air_changes_per_h, volume_m3, worst)


@monotone_in("limit_mg_m3", "source_mg_h", "decay_per_h", "air_changes_per_h", "volume_m3")
def hours_to_reach(
    limit_mg_m3: Number,
    source_mg_h: Number,
    decay_per_h: Number,
    air_changes_per_h: Number,
    volume_m3: Number,
) -> Number:
    """Hours until a limit (1e-9 to 1e9 mg/m3) is first reached; inf if it is not within 10 000 h.

    >>> round(hours_to_reach(20.0, 1000.0, 0.0, 0.0, 50.0), 9)
    1.0
    """
    limit = within("limit", limit_mg_m3, 1e-9, 1e9, "mg/m3")
    strength, slow, fast = _rates(source_mg_h, decay_per_h, air_changes_per_h, volume_m3)
    step = _hours_to_peak(slow, fast) + 0.0 * limit + 0.0 * strength
    arguments = (source_mg_h, decay_per_h, air_changes_per_h, volume_m3)
    reached = concentration(*arguments, step) >= limit
    hours = 0.0 * step
    for _ in range(_HALVINGS):  # until the peak the concentration only rises
        step = step / 2.0
        hours = choose(concentration(*arguments, hours + step) < limit, hours + step, hours)
    return choose(reached, hours + step, 0.0 * hours + inf)


@monotone_in("limit_mg_m3", "source_mg_h", "decay_per_h", "volume_m3", "hours")
def air_changes_needed(
    limit_mg_m3: Number, source_mg_h: Number, decay_per_h: Number, volume_m3: Number, hours: Number
) -> Number:
    """Least air changes per hour that keep the peak within some hours at or under a limit.

    0 if none are needed, inf if 10 000 are not enough.

    >>> round(air_changes_needed(10.0, 1000.0, 0.0, 50.0, 1000.0), 6)
    2.0
    """
    limit = within("limit", limit_mg_m3, 1e-9, 1e9, "mg/m3")

    def exceeded(air_changes: Number) -> bool | Mask:
        peak = peak_concentration(source_mg_h, decay_per_h, air_changes, volume_m3, hours)
        return peak > limit * (1.0 + 1e-12)

    none = 0.0 * (limit + source_mg_h + decay_per_h + volume_m3 + hours)
    step = none + MOST_PER_HOUR
    too_weak, needless = exceeded(step), exceeded(none)
    needed = none
    for _ in range(_HALVINGS):
        step = step / 2.0
        needed = choose(exceeded(needed + step), needed + step, needed)
    needed = choose(needless, needed + step, none)
    return choose(too_weak, none + inf, needed)


@monotone_in("start_mg_m3", "end_mg_m3", "air_changes_per_h")
def airing_hours(start_mg_m3: Number, end_mg_m3: Number, air_changes_per_h: Number) -> Number:
    """Hours until fresh air has thinned a well-mixed room from one concentration to another, nothing more coming in.

    ln(start / end) / air changes; 0 where it is there already.  Valid: 1e-6 to 1e9 mg/m3, 0.001 to 10 000 1/h.

    Source: the mass balance above without a source, C = C0 exp(-a t).

    >>> round(60 * airing_hours(100.0, 1.0, 6.0))  # 99 % gone at six air changes an hour [min]
    46
    """
    start, end = (
        within("concentration", start_mg_m3, 1e-6, 1e9, "mg/m3"),
        within("concentration", end_mg_m3, 1e-6, 1e9, "mg/m3"),
    )
    aired = within("air_changes", air_changes_per_h, 0.001, MOST_PER_HOUR, "1/h")
    return greatest(log(start / end), start * 0.0) / aired

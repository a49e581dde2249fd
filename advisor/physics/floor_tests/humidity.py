"""Relative humidity inside the slab, by probes in drilled holes (ASTM F2170-16b)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from math import inf

from advisor.physics.floor_tests.emission import places_required
from advisor.physics.floor_tests.finding import Fault, Readings, none_or_fault, none_or_unmet, readings
from advisor.physics.validity import Number, within


class DryingSides(Enum):
    """How many faces of the slab dry; the value is the share of the thickness at which to measure.

    Source: ASTM F2170: 40 % drying from one side (slab on a retarder or on the ground), 20 % from two.
    """

    ONE = 0.4
    TWO = 0.2


def probe_depth(thickness_m: Number, sides: DryingSides) -> Number:
    """Depth [m] at which to measure in a slab of 0.01 to 5 m.

    >>> round(probe_depth(0.1, DryingSides.ONE), 6)
    0.04
    """
    return within("slab thickness", thickness_m, 0.01, 5.0, "m") * sides.value


@dataclass(frozen=True)
class ProbeRules:
    """What makes a probe's reading valid.

    Equilibration 24 h: ASTM F2170, 10.3.4 (72 h in the edition of 2009); conditioning 48 h at service
    conditions: section 9.  The depth's tolerance, as a share of the thickness: common practice, no source.
    """

    equilibration_h: float = 24.0
    conditioned_h: float = 48.0
    depth_tolerance: float = 0.05


@dataclass(frozen=True)
class Probe:
    """One hole: its reading [%], depth [m] and hours; None is not recorded.

    ``at_service_conditions``: slab and air as warm and humid as they will be in use.
    """

    rh_percent: float
    depth_m: float | None
    equilibration_h: float | None
    conditioned_h: float | None
    at_service_conditions: bool | None


def humidity_test(
    probes: Sequence[Probe],
    thickness_m: float,
    sides: DryingSides,
    area_m2: float,
    rules: ProbeRules = ProbeRules(),
) -> Readings:
    """Judge an in-situ humidity test of a floor; values in %.

    It tells the humidity at that time and place (ASTM F2170-16b, 5.3), which a dense finish would spread
    through the slab.  Raises OutsideValidity for humidities beyond 0 to 100 % and slabs beyond 0.01 to 5 m.
    """
    depth, slack = probe_depth(thickness_m, sides), rules.depth_tolerance * thickness_m
    faults: list[Fault | None] = []
    for number, probe in enumerate(probes, start=1):
        name = f"probe {number}"
        faults += [
            none_or_fault(f"{name}, depth", probe.depth_m, depth - slack, depth + slack, "m"),
            none_or_fault(f"{name}, equilibrated", probe.equilibration_h, rules.equilibration_h, inf, "h"),
            none_or_fault(f"{name}, conditioned", probe.conditioned_h, rules.conditioned_h, inf, "h"),
            none_or_unmet(f"{name}, at service conditions", probe.at_service_conditions),
        ]
    values = [within("humidity in the slab", probe.rh_percent, 0.0, 100.0, "%") for probe in probes]
    form = f"at {sides.value:.0%} of the thickness, drying from {sides.name.lower()}"
    return readings("ASTM F2170-16b", values, len(probes), "%", faults, int(places_required(area_m2)), form)

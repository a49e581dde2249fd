"""Relative humidity inside the slab, by probes in drilled holes (ASTM F2170-16b)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

from advisor.physics.bounds import Interval
from advisor.physics.floor_tests.finding import Fault, Readings, none_or_fault, none_or_unmet, readings
from advisor.physics.validity import within


@dataclass(frozen=True)
class ProbeRules:
    """What makes a probe's reading valid: its depth as a share of the thickness, and hours in the hole and before."""

    depth_share: Interval
    equilibration_h: float
    conditioned_h: float


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


def humidity_test(probes: Sequence[Probe], thickness_m: float, required: int, rules: ProbeRules) -> Readings:
    """Judge an in-situ humidity test of a floor that asks for so many probes; values in %.

    It tells the humidity at that time and place (ASTM F2170-16b, 5.3), which a dense finish would spread
    through the slab.  Raises OutsideValidity for humidities beyond 0 to 100 % and slabs beyond 0.01 to 5 m.
    """
    thickness = within("slab_thickness", thickness_m, 0.01, 5.0, "m")
    depths = Interval(rules.depth_share.low * thickness, rules.depth_share.high * thickness)
    faults: list[Fault | None] = []
    for number, probe in enumerate(probes, start=1):
        stood, conditioned = Interval(rules.equilibration_h, inf), Interval(rules.conditioned_h, inf)
        faults += [
            none_or_fault("probe_depth", probe.depth_m, depths, "m", number),
            none_or_fault("probe_equilibrated", probe.equilibration_h, stood, "h", number),
            none_or_fault("probe_conditioned", probe.conditioned_h, conditioned, "h", number),
            none_or_unmet("probe_at_service_conditions", probe.at_service_conditions, number),
        ]
    values = [within("humidity_in_slab", probe.rh_percent, 0.0, 100.0, "%") for probe in probes]
    return readings(values, len(probes), "%", faults, required)

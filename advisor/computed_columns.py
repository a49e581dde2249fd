"""Computed facts of many floors at once: the same functions of `advisor.computed`, over arrays.

The physics is called with arrays at the corners where its extremes lie; which end of an input gives the least and
which the most is declared beside each fact, and held by a test against the one-case bounds. A fact without an entry
here is worked out floor by floor through `advisor.computed` itself, each distinct floor once: slow, but never wrong.

For arrays the saturation curve is a table (within 1e-6 of the one-case reading). So that no conclusion can differ,
every floor whose value comes near a bound that some rule compares it with is worked out again by `advisor.computed`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TypeAlias

import numpy as np

from advisor.columns import (
    ChoiceColumn,
    Column,
    Columns,
    Flags,
    Floats,
    NumberColumn,
    completed,
    keep_all,
    unstated,
    value_at,
)
from advisor.computed import compute
from advisor.grounding import bound
from advisor.knowledge import FactKind, Finish, RuleBase
from advisor.physics import air
from advisor.physics.floor_tests.emission import emission_rate
from advisor.physics.units import PERM_INCH, POUND_PER_1000FT2_DAY, US_PERM
from advisor.physics.vapour import (
    MOST_PERMEANCE,
    layer_permeance,
    rh_beneath_finish,
    series_permeance,
    share_passed,
)
from advisor.physics.vapour_source import steady_emission_bound

Ends: TypeAlias = tuple[Floats, Floats]
Facts: TypeAlias = Mapping[str, Column]

NEAR = 1e-4  # in the fact's unit, and relative: a hundred times what the table of the saturation curve is off


def working_columns(base: RuleBase, stated: Columns, bounds: Mapping[str, Sequence[float]]) -> Columns:
    """All facts of the floors, and of each finish on them: given, assumed, computed or unknown.

    Args:
        base: the rule base, for the vocabulary and the finishes.
        stated: the facts that the floors state.
        bounds: by fact, the bounds that some rule compares it with.
    """
    facts: dict[str, Column] = {}
    for name, kind in base.facts.items():
        if kind.of == "floor":
            blank = unstated(kind)
            facts[name] = completed(stated.facts[name], blank) if name in stated.facts else blank
    for name, kind in base.facts.items():
        if kind.computed is None:
            continue
        if kind.of == "floor":
            worked_out = _computed(base, name, facts, None, bounds.get(name, ()))
            facts[name] = completed(stated.facts[name], worked_out) if name in stated.facts else worked_out
        else:
            # The formulas here know of a finish only its permeance: finishes with the same one share the column.
            alike: dict[object, Column] = {}
            for finish in base.finishes.values():
                limits = tuple(bounds.get(bound(name, finish.id), ()))
                span = finish.properties["permeance"].interval
                key = (span, limits) if kind.computed.by in _BY_FINISH else finish.id
                if key not in alike:
                    alike[key] = _computed(base, name, facts, finish, limits)
                facts[bound(name, finish.id)] = alike[key]
    return Columns(stated.floors, facts)


def _computed(
    base: RuleBase, name: str, facts: Facts, finish: Finish | None, limits: Sequence[float]
) -> NumberColumn:
    kind = base.facts[name]
    assert kind.computed is not None
    if finish is not None and kind.computed.by in _BY_FINISH:
        low, high = _BY_FINISH[kind.computed.by](facts, finish)
    elif finish is None and kind.computed.by in _BY_FLOOR:
        low, high = _BY_FLOOR[kind.computed.by](facts)
    else:
        return _floor_by_floor(base, name, facts, finish)
    known = _known(kind, facts)
    low, high, known = (np.array(each) for each in np.broadcast_arrays(low, high, known))
    near = _near(low, limits) | _near(high, limits)
    ends = [np.clip(keep_all(end), kind.plausible.low, kind.plausible.high) for end in (low, high)]
    if near.any():
        for floor in np.flatnonzero(near):
            value = _one(base, name, facts, finish, int(floor))
            ends[0][floor], ends[1][floor] = value
    return NumberColumn(ends[0], ends[1], known)


def _near(values: Floats, limits: Sequence[float]) -> Flags:
    found = np.zeros(values.shape, np.bool)
    for limit in limits:
        found |= np.abs(values - limit) < NEAR * max(1.0, abs(limit))
    return found


def _known(kind: FactKind, facts: Facts) -> Flags:
    """Whether every input is known; where there is no sheet, its permeance is not missing."""
    assert kind.computed is not None
    known: Flags = np.array([True])
    for name in kind.computed.inputs:
        here = facts[name].known
        if name == "retarder_permeance":
            here = here | _sheet(facts).has("absent")
        known = known & here
    return known


def _one(base: RuleBase, name: str, facts: Facts, finish: Finish | None, floor: int) -> tuple[float, float]:
    inputs = base.facts[name].computed
    assert inputs is not None
    value = compute(
        base, name, {each: value_at(base.facts[each], facts[each], floor) for each in inputs.inputs}, finish
    )
    assert value.interval is not None
    return value.interval.low, value.interval.high


def _floor_by_floor(base: RuleBase, name: str, facts: Facts, finish: Finish | None) -> NumberColumn:
    kind = base.facts[name]
    assert kind.computed is not None
    inputs = [facts[each] for each in kind.computed.inputs]
    arrays = [a for c in inputs for a in ((c.codes,) if isinstance(c, ChoiceColumn) else (c.low, c.high, c.known))]
    rows = np.stack(np.broadcast_arrays(*(array.astype(np.float64) for array in arrays)), axis=1)
    distinct, first, which = np.unique(rows, axis=0, return_index=True, return_inverse=True)
    values = []
    for floor in first:
        here = {each: value_at(base.facts[each], facts[each], int(floor)) for each in kind.computed.inputs}
        value = compute(base, name, here, finish)
        assert value.interval is not None
        values.append((value.interval.low, value.interval.high, value.known))
    assert len(values) == len(distinct)
    low, high, known = (np.array(each)[which.ravel()] for each in zip(*values, strict=True))
    return NumberColumn(low, high, known)


# ---- the formulas over arrays, by the name of their function in `advisor.computed` --------------------------------


def _sheet(facts: Facts) -> ChoiceColumn:
    column = facts["vapour_retarder"]
    assert isinstance(column, ChoiceColumn)
    return column


def _span(facts: Facts, name: str, scale: float = 1.0) -> Ends:
    column = facts[name]
    assert isinstance(column, NumberColumn)
    return column.low * scale, column.high * scale


def _extremes(function: Callable[..., Floats], rising: Mapping[str, Ends], falling: Mapping[str, Ends]) -> Ends:
    """Least and most of a function that rises in some inputs and falls in the others."""
    least = {**{n: low for n, (low, _) in rising.items()}, **{n: high for n, (_, high) in falling.items()}}
    most = {**{n: high for n, (_, high) in rising.items()}, **{n: low for n, (low, _) in falling.items()}}
    return function(**least), function(**most)


def _scaled(ends: Ends, scale: float) -> Ends:
    return ends[0] * scale, ends[1] * scale


def _dew_point(facts: Facts) -> Ends:
    rising = {"temp_c": _span(facts, "air_temperature"), "rh_percent": _span(facts, "air_humidity")}
    return _extremes(air.dew_point, rising, {})


def _dew_point_margin(facts: Facts) -> Ends:
    rising = {"surface_temp_c": _span(facts, "slab_temperature")}
    falling = {"air_temp_c": _span(facts, "air_temperature"), "rh_percent": _span(facts, "air_humidity")}
    return _extremes(air.dew_margin, rising, falling)


def _humidity_at_slab(facts: Facts) -> Ends:
    rising = {"air_temp_c": _span(facts, "air_temperature"), "rh_percent": _span(facts, "air_humidity")}
    return _extremes(air.rh_at_surface, rising, {"surface_temp_c": _span(facts, "slab_temperature")})


def _emission_from_dish(facts: Facts) -> Ends:
    ends = _extremes(
        emission_rate, {"mass_gain_g": _span(facts, "dish_gain")}, {"hours": _span(facts, "dish_hours")}
    )
    return _scaled(ends, 1 / POUND_PER_1000FT2_DAY)


def _budget_per_area(facts: Facts) -> Ends:
    budget, area = _span(facts, "budget"), _span(facts, "area")
    return budget[0] / area[1], budget[1] / area[0]


def _steady_emission(facts: Facts) -> Ends:
    rising = {
        "ground_temp_c": _span(facts, "ground_temperature"),
        "ground_rh_percent": _span(facts, "ground_humidity"),
        "permeance": _below_finish(facts),
    }
    return _scaled(_extremes(steady_emission_bound, rising, {}), 1 / POUND_PER_1000FT2_DAY)


def _below_finish(facts: Facts) -> Ends:
    """Permeance of retarder and slab in series [kg/(m2 s Pa)]; no retarder resists nothing."""
    slab = _extremes(
        layer_permeance,
        {"permeability": _span(facts, "slab_permeability", PERM_INCH)},
        {"thickness_m": _span(facts, "slab_thickness", 1e-3)},
    )
    absent, present = _sheet(facts).has("absent"), _sheet(facts).has("present")
    low, high = _span(facts, "retarder_permeance", US_PERM)
    sheet = np.where(absent, MOST_PERMEANCE, low), np.where(present, high, MOST_PERMEANCE)
    return series_permeance(sheet[0], slab[0]), series_permeance(sheet[1], slab[1])


def _humidity_beneath(facts: Facts, finish: Finish) -> Ends:
    """It falls with the ground's warmth, for the slab's top is taken as warm; rises with all other vapour."""
    ground, below, coat = _span(facts, "ground_temperature"), _below_finish(facts), _permeance(finish)
    soil, heat, damp = (_span(facts, name) for name in ("ground_humidity", "air_temperature", "air_humidity"))
    ends = []
    for end, least in ((0, np.minimum), (1, np.maximum)):
        warm = ground[1 - end]
        # A finish that passes more brings the room's vapour closer, which may be the damper or the drier side.
        less, more = (
            rh_beneath_finish(warm, soil[end], heat[end], damp[end], below[1 - side], coat[side], warm)
            for side in (0, 1)
        )
        ends.append(least(less, more))
    return ends[0], ends[1]


def _vapour_passed(facts: Facts, finish: Finish) -> Ends:
    ends = _extremes(share_passed, {"finish": _permeance(finish)}, {"below_finish": _below_finish(facts)})
    return _scaled(ends, 100.0)


def _permeance(finish: Finish) -> Ends:
    perms = finish.properties["permeance"].interval
    assert perms is not None
    return np.array([perms.low * US_PERM]), np.array([perms.high * US_PERM])


_BY_FLOOR: dict[str, Callable[[Facts], Ends]] = {
    "dew_point": _dew_point,
    "dew_point_margin": _dew_point_margin,
    "humidity_at_slab": _humidity_at_slab,
    "emission_from_dish": _emission_from_dish,
    "budget_per_area": _budget_per_area,
    "steady_emission": _steady_emission,
}
_BY_FINISH: dict[str, Callable[[Facts, Finish], Ends]] = {
    "humidity_beneath": _humidity_beneath,
    "vapour_passed": _vapour_passed,
}

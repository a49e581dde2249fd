"""Steady diffusion of water vapour from the ground through slab and finish into the room.

Each layer resists by 1/W (W its permeance); resistances in series add, and the same flow passes every layer
(ISO 13788:2012, clause 6, the one-dimensional steady method also known as Glaser's; from memory).

What steady diffusion leaves out: liquid water, the water a new slab still holds, salts and osmosis, leaks of
air, and storage, so days and weeks.  It says what the ground can feed in the long run and no more: it is
never equal to what a dish test reads (see ``vapour_source``).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Generic

from advisor.physics.air import saturation_pressure, vapour_pressure
from advisor.physics.bounds import monotone_in
from advisor.physics.units import YEAR
from advisor.physics.validity import Number, within

LEAST_PERMEANCE, MOST_PERMEANCE = 1e-16, 1e-4  # kg/(m2 s Pa); from metal foil to a film of still air
VAPOUR_PERMEABILITY_OF_AIR = 2e-10  # kg/(m s Pa); ISO 13788:2012 (from memory)


def permeance_within(quantity: str, permeance: Number) -> Number:
    """Return a permeance [kg/(m2 s Pa)] that some layer can have; zero has no series resistance."""
    return within(quantity, permeance, LEAST_PERMEANCE, MOST_PERMEANCE, "kg/(m2 s Pa)")


@monotone_in("permeability", "thickness_m")
def layer_permeance(permeability: Number, thickness_m: Number) -> Number:
    """Permeance [kg/(m2 s Pa)] of a layer from its permeability [kg/(m s Pa)] and thickness [m].

    Valid: 1e-18 to 1e-9 kg/(m s Pa), 1e-6 to 10 m.  Source: ASTM E96/E96M-10, definitions.
    """
    material = within("permeability", permeability, 1e-18, 1e-9, "kg/(m s Pa)")
    return material / within("layer_thickness", thickness_m, 1e-6, 10.0, "m")


@monotone_in("resistance_factor")
def permeability_from_mu(resistance_factor: Number) -> Number:
    """Permeability [kg/(m s Pa)] from the vapour resistance factor mu of ISO 10456 (1 for still air).

    Valid: 1 to 1e7.  Source: ISO 13788:2012, air 2e-10 kg/(m s Pa) (from memory).
    """
    return VAPOUR_PERMEABILITY_OF_AIR / within("vapour_resistance_factor", resistance_factor, 1.0, 1e7, "")


@monotone_in("sheet", "open_share", "slab")
def punctured_retarder_permeance(sheet: Number, open_share: Number, slab: Number) -> Number:
    """Permeance [kg/(m2 s Pa)] that a retarder with holes and unsealed laps offers beneath a slab.

    Parallel paths: under the share ``open_share`` (0 to 0.99) of the area the slab lies on the ground, under
    the rest on the sheet, and no vapour moves sideways; then this permeance in series with the slab's gives
    the flow of both paths together.  Vapour that does spread sideways from a hole makes it worse, so this is
    the least a hole does; the most is the slab with no retarder.

    >>> round(punctured_retarder_permeance(1e-12, 0.0, 5e-11) * 1e12, 6)
    1.0
    """
    share = within("open_share_of_retarder", open_share, 0.0, 0.99, "")
    whole = permeance_within("retarder_permeance", sheet)
    return (whole + share * permeance_within("slab_permeance", slab)) / (1.0 - share)


def series_permeance(first: Number, *others: Number) -> Number:
    """Permeance of layers one upon the other [kg/(m2 s Pa)]: 1/W = 1/W1 + 1/W2 + ..."""
    resistance = 1.0 / permeance_within("layer_permeance", first)
    for permeance in others:
        resistance = resistance + 1.0 / permeance_within("layer_permeance", permeance)
    return 1.0 / resistance


@monotone_in("pressure_below_pa", "pressure_above_pa", "permeance")
def vapour_flow(pressure_below_pa: Number, pressure_above_pa: Number, permeance: Number) -> Number:
    """Flow of vapour upwards [kg/(m2 s)]; negative when the room is the damper side.

    Valid: 0 to 1e5 Pa.
    """
    below = within("vapour_pressure_below", pressure_below_pa, 0.0, 1e5, "Pa")
    above = within("vapour_pressure_above", pressure_above_pa, 0.0, 1e5, "Pa")
    return permeance_within("permeance", permeance) * (below - above)


@monotone_in("below_finish", "finish")
def share_passed(below_finish: Number, finish: Number) -> Number:
    """Share (0 to 1) of the bare slab's flow that still passes once the finish is on.

    ``below_finish`` is the permeance of all beneath the finish, ``finish`` its own [kg/(m2 s Pa)].

    >>> share_passed(4.6e-11, 4.6e-11)
    0.5
    """
    below = permeance_within("permeance_below_finish", below_finish)
    return 1.0 / (1.0 + below / permeance_within("finish_permeance", finish))


@monotone_in(
    "ground_temp_c",
    "ground_rh_percent",
    "room_temp_c",
    "room_rh_percent",
    "below_finish",
    "finish",
    "slab_top_temp_c",
)
def rh_beneath_finish(
    ground_temp_c: Number,
    ground_rh_percent: Number,
    room_temp_c: Number,
    room_rh_percent: Number,
    below_finish: Number,
    finish: Number,
    slab_top_temp_c: Number,
) -> Number:
    """Relative humidity [%] that stands between slab and finish; above 100 water condenses there.

    Temperatures -50 to 100 °C, humidities 0 to 100 %; ``below_finish`` is the permeance of all beneath the
    finish, ``finish`` its own [kg/(m2 s Pa)].  Steady state, one dimension.

    >>> from advisor.physics.units import US_PERM
    >>> beneath = rh_beneath_finish(13.0, 100.0, 21.0, 50.0, 0.8 * US_PERM, 0.1 * US_PERM, 13.0)
    >>> round(beneath, 1)
    98.1
    """
    ground = vapour_pressure(ground_temp_c, ground_rh_percent)
    room = vapour_pressure(room_temp_c, room_rh_percent)
    return rh_of_share(ground, room, share_passed(below_finish, finish), saturation_pressure(slab_top_temp_c))


@monotone_in("ground_pa", "room_pa", "share", "saturated_pa")
def rh_of_share(ground_pa: Number, room_pa: Number, share: Number, saturated_pa: Number) -> Number:
    """Relative humidity [%] beneath a finish that passes a share of the bare slab's flow, from the pressures [Pa].

    The pressure drops across what lies below by the same share that the finish lets pass.
    """
    return 100.0 * (ground_pa - share * (ground_pa - room_pa)) / saturated_pa


@monotone_in("mean_flow", "area_m2")
def yearly_water(mean_flow: Number, area_m2: Number) -> Number:
    """Water in a year [kg] through ``area_m2`` (0 to 1e6 m2) at a mean flow [kg/(m2 s)] of at most 0.1.

    For a room that changes with the season, give the mean of the seasons' flows.
    """
    flow = within("vapour_flow", mean_flow, -0.1, 0.1, "kg/(m2 s)")
    return flow * within("area", area_m2, 0.0, 1e6, "m2") * YEAR


@dataclass(frozen=True)
class Layer(Generic[Number]):
    """One layer: ``permeance`` [kg/(m2 s Pa)] and ``thermal_resistance`` [m2 K/W], 0 to 100.

    A capillary break of gravel stops liquid water but hardly vapour: its permeance is that of the still air
    in it, ``VAPOUR_PERMEABILITY_OF_AIR`` over its thickness.
    """

    name: str
    permeance: Number
    thermal_resistance: Number


@dataclass(frozen=True)
class Interface(Generic[Number]):
    """What holds between two layers; ``rh_percent`` above 100 says that water condenses there."""

    above: str
    temp_c: Number
    vapour_pressure_pa: Number
    rh_percent: Number


@dataclass(frozen=True)
class SteadyState(Generic[Number]):
    """``flow`` upwards [kg/(m2 s)], and the interfaces from the underside of the first layer to the top."""

    flow: Number
    interfaces: tuple[Interface[Number], ...]


def steady_state(
    ground_temp_c: Number,
    ground_rh_percent: Number,
    room_temp_c: Number,
    room_rh_percent: Number,
    layers: Sequence[Layer[Number]],
    surface_resistance: Number,
    interface_temps_c: Sequence[Number] | None = None,
) -> SteadyState[Number]:
    """Flow, and temperature, vapour pressure and relative humidity at every interface.

    ``layers`` run from the ground up.  The temperature falls by thermal resistance, the last of it across the
    room's air at the floor (``surface_resistance`` [m2 K/W], which holds back no vapour), unless the
    temperatures of the ``len(layers) + 1`` interfaces are given.  Isothermal is ground as warm as the room.
    Valid: -50 to 100 °C, 0 to 100 %, at least one layer; else OutsideValidity.
    """
    within("number_of_layers", len(layers), 1, 100, "")
    ground = vapour_pressure(ground_temp_c, ground_rh_percent)
    room = vapour_pressure(room_temp_c, room_rh_percent)
    flow = vapour_flow(ground, room, series_permeance(*(layer.permeance for layer in layers)))
    temps = interface_temps_c
    if temps is None:
        temps = _temperatures(ground_temp_c, room_temp_c, layers, surface_resistance)
    within("number_of_interface_temperatures", len(temps), len(layers) + 1, len(layers) + 1, "")

    pressure = ground
    interfaces = []
    names = [layer.name for layer in layers] + ["room"]
    for level, (name, temp) in enumerate(zip(names, temps, strict=True)):
        if level:
            pressure = pressure - flow / layers[level - 1].permeance
        interfaces.append(Interface(name, temp, pressure, 100.0 * pressure / saturation_pressure(temp)))
    return SteadyState(flow, tuple(interfaces))


def _temperatures(
    ground: Number, room: Number, layers: Sequence[Layer[Number]], surface_resistance: Number
) -> list[Number]:
    top = within("surface_resistance", surface_resistance, 0.01, 10.0, "m2 K/W")
    given = (layer.thermal_resistance for layer in layers)
    resistances = [within("thermal_resistance", resistance, 0.0, 100.0, "m2 K/W") for resistance in given]
    total = sum(resistances[1:], resistances[0]) + top
    below = 0.0 * total
    temps = [ground + 0.0 * total]
    for resistance in resistances:
        below = below + resistance
        temps.append(ground + (room - ground) * (below / total))
    return temps

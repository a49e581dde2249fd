from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.physics import vapour
from advisor.physics.air import saturation_pressure
from advisor.physics.units import GRAM_PER_M2_DAY, INCH, PERM_INCH, POUND_PER_1000FT2_DAY, US_PERM, YEAR
from advisor.physics.validity import OutsideValidity
from advisor.physics.vapour import Layer

SLAB = 0.8 * US_PERM
TEMPS = st.floats(-20.0, 60.0)
HUMIDITIES = st.floats(0.0, 100.0)
SURFACE = 0.17  # m2 K/W, heat flowing down; ISO 6946:2017, Table 7 (from memory)
PERMEANCES = st.floats(-15.0, -5.0).map(lambda power: 10.0**power)
LAYERS = st.lists(st.builds(Layer, st.just("layer"), PERMEANCES, st.floats(0.0, 5.0)), min_size=1, max_size=6)


@pytest.mark.table("series_resistance")
def test_series_resistance_by_hand(row):
    ground, room, slab_temp = (float(row[name]) for name in ("ground_temp_c", "room_temp_c", "slab_temp_c"))
    layers = [Layer("retarder", float(row["retarder_perm"]) * US_PERM, 0.0)] if row["retarder_perm"] else []
    layers.append(Layer("slab", SLAB, 0.0))
    finish = float(row["finish_perm"] or 0.0) * US_PERM
    if finish:
        layers.append(Layer("finish", finish, 0.0))
    # Without thermal resistance all the fall of temperature is in the room's air: slab as cold as ground.
    state = vapour.steady_state(ground, 100.0, room, 50.0, layers, SURFACE)
    places = len(row["flow_lb"].split(".")[1])
    assert state.flow / POUND_PER_1000FT2_DAY == pytest.approx(float(row["flow_lb"]), abs=0.6 * 10.0**-places)
    top_of_slab = state.interfaces[-2 if finish else -1]
    assert top_of_slab.temp_c == pytest.approx(slab_temp)
    if row["rh_beneath_percent"]:
        assert top_of_slab.rh_percent == pytest.approx(float(row["rh_beneath_percent"]), abs=0.06)
    if finish:
        below = vapour.series_permeance(*(layer.permeance for layer in layers[:-1]))
        beneath = vapour.rh_beneath_finish(ground, 100.0, room, 50.0, below, finish, slab_temp)
        assert beneath == pytest.approx(top_of_slab.rh_percent)
        bare = vapour.steady_state(ground, 100.0, room, 50.0, layers[:-1], SURFACE)
        assert vapour.share_passed(below, finish) == pytest.approx(state.flow / bare.flow)


def test_units_of_the_published_example():
    # ASHRAE Handbook of Fundamentals, older table (from memory): 3.2 perm-in, so 4 in = 0.8 perm; by hand.
    slab = vapour.layer_permeance(3.2 * PERM_INCH, 4 * INCH)
    assert slab == pytest.approx(SLAB)
    flow = vapour.vapour_flow(saturation_pressure(23.0), 0.5 * saturation_pressure(23.0), slab)
    assert flow / GRAM_PER_M2_DAY == pytest.approx(5.557, abs=6e-4)
    # Into a perfectly dry dish twice as much.
    assert vapour.vapour_flow(saturation_pressure(23.0), 0.0, slab) / POUND_PER_1000FT2_DAY == pytest.approx(
        2.28, abs=0.006
    )


def test_resistance_factor_and_sd():
    # ISO 10456 and ISO 13788:2012 (from memory): mu 60 to 130 is 2.29 to 1.06 perm-in; 1 perm is sd = 3.50 m.
    assert vapour.permeability_from_mu(60.0) / PERM_INCH == pytest.approx(2.29, abs=0.006)
    assert vapour.permeability_from_mu(130.0) / PERM_INCH == pytest.approx(1.06, abs=0.006)
    sd_of_one_perm = vapour.VAPOUR_PERMEABILITY_OF_AIR / US_PERM
    assert sd_of_one_perm == pytest.approx(3.50, abs=0.006)


@given(TEMPS, HUMIDITIES, TEMPS, HUMIDITIES, LAYERS)
def test_what_flows_in_flows_out_of_every_layer(ground, ground_rh, room, room_rh, layers):
    state = vapour.steady_state(ground, ground_rh, room, room_rh, layers, SURFACE)
    pressures = [interface.vapour_pressure_pa for interface in state.interfaces]
    scale = max(pressures) + 1.0
    for layer, below, above in zip(layers, pressures, pressures[1:], strict=False):
        assert state.flow / layer.permeance == pytest.approx(below - above, abs=1e-9 * scale)
    assert pressures[0] == pytest.approx(ground_rh / 100.0 * saturation_pressure(ground))
    assert pressures[-1] == pytest.approx(room_rh / 100.0 * saturation_pressure(room), abs=1e-9 * scale)
    # Heat, too, flows the same through every layer.
    temps = [interface.temp_c for interface in state.interfaces]
    falls = [room - temps[-1], *(after - before for before, after in pairwise(temps))]
    resistances = [SURFACE, *(layer.thermal_resistance for layer in layers)]
    heat_flow = (room - ground) / sum(resistances)
    assert falls == pytest.approx([heat_flow * resistance for resistance in resistances], abs=1e-9)
    assert all(math.isfinite(interface.rh_percent) for interface in state.interfaces)


@given(TEMPS, HUMIDITIES, TEMPS, HUMIDITIES, PERMEANCES, PERMEANCES, TEMPS)
def test_one_and_many_agree(agree, ground, ground_rh, room, room_rh, below, finish, top):
    def flow(*air_and_slab):
        return vapour.steady_state(*air_and_slab[:4], [Layer("slab", air_and_slab[4], 0.1)], SURFACE).flow

    def top_rh(*air_and_slab):
        return (
            vapour.steady_state(*air_and_slab[:4], [Layer("slab", air_and_slab[4], 0.1)], SURFACE)
            .interfaces[1]
            .rh_percent
        )

    # The array's saturation pressures are within 1e-6, so differences of nearly equal ones are too.
    pressure = saturation_pressure(max(ground, room))
    agree(flow, ground, ground_rh, room, room_rh, below, abs=1e-6 * pressure * below)
    agree(top_rh, ground, ground_rh, room, room_rh, below, rel=1e-5, abs=1e-2)
    agree(vapour.rh_beneath_finish, ground, ground_rh, room, room_rh, below, finish, top, abs=1e-2)
    agree(vapour.share_passed, below, finish)
    agree(vapour.series_permeance, below, finish)
    agree(vapour.punctured_retarder_permeance, finish, 0.1, below, abs=0.0)
    agree(vapour.vapour_flow, 1000.0, 500.0, below, abs=0.0)


def test_one_and_many_layers_agree(agree):
    agree(vapour.layer_permeance, 4.65e-12, 0.1, abs=0.0)
    agree(vapour.permeability_from_mu, 100.0, abs=0.0)
    agree(vapour.yearly_water, 1e-8, 10.0)


@given(PERMEANCES, st.floats(0.0, 0.99), PERMEANCES)
def test_punctured_retarder_carries_the_flow_of_both_paths(sheet, share, slab):
    retarder = vapour.punctured_retarder_permeance(sheet, share, slab)
    both = 1.0 / (1.0 / retarder + 1.0 / slab)
    assert both == pytest.approx((1.0 - share) * vapour.series_permeance(sheet, slab) + share * slab)


def test_given_interface_temperatures_are_kept():
    layers = [Layer("slab", SLAB, 0.05), Layer("finish", 0.1 * US_PERM, 0.0)]
    state = vapour.steady_state(13.0, 100.0, 21.0, 50.0, layers, SURFACE, interface_temps_c=(13.0, 15.0, 15.5))
    assert [interface.temp_c for interface in state.interfaces] == [13.0, 15.0, 15.5]
    assert [interface.above for interface in state.interfaces] == ["slab", "finish", "room"]
    assert state.interfaces[1].rh_percent == pytest.approx(
        100.0 * state.interfaces[1].vapour_pressure_pa / saturation_pressure(15.0)
    )


def test_warm_damp_room_drives_vapour_down():
    state = vapour.steady_state(10.0, 60.0, 28.0, 80.0, [Layer("slab", SLAB, 0.07)], SURFACE)
    assert state.flow < 0.0
    assert state.interfaces[-1].rh_percent > 100.0  # summer condensation on the cool slab


def test_yearly_water():
    assert vapour.yearly_water(1e-8, 50.0) == pytest.approx(1e-8 * 50.0 * YEAR)


@pytest.mark.parametrize(
    ("call", "quantity"),
    [
        (lambda: vapour.share_passed(0.0, 1e-11), "permeance_below_finish"),
        (lambda: vapour.share_passed(1e-11, 0.0), "finish_permeance"),
        (lambda: vapour.share_passed(1e-11, np.array([1e-11, 0.0])), "finish_permeance"),
        (lambda: vapour.series_permeance(1e-11, -1e-11), "layer_permeance"),
        (lambda: vapour.layer_permeance(4e-12, -0.1), "layer_thickness"),
        (lambda: vapour.layer_permeance(math.nan, 0.1), "permeability"),
        (lambda: vapour.permeability_from_mu(0.5), "vapour_resistance_factor"),
        (lambda: vapour.punctured_retarder_permeance(1e-12, 1.0, 1e-11), "open_share_of_retarder"),
        (lambda: vapour.vapour_flow(-1.0, 0.0, 1e-11), "vapour_pressure_below"),
        (lambda: vapour.yearly_water(1e-8, -1.0), "area"),
        (lambda: vapour.rh_beneath_finish(13.0, 120.0, 21.0, 50.0, SLAB, SLAB, 13.0), "relative_humidity"),
        (lambda: vapour.steady_state(13.0, 100.0, 21.0, 50.0, [], SURFACE), "number_of_layers"),
        (
            lambda: vapour.steady_state(13.0, 100.0, 21.0, 50.0, [Layer("slab", SLAB, -0.1)], SURFACE),
            "thermal_resistance",
        ),
        (
            lambda: vapour.steady_state(
                13.0, 100.0, 21.0, 50.0, [Layer("slab", SLAB, 0.1)], SURFACE, interface_temps_c=(1.0,)
            ),
            "number_of_interface_temperatures",
        ),
    ],
)
def test_refusals(call, quantity):
    with pytest.raises(OutsideValidity) as refusal:
        call()
    assert refusal.value.quantity == quantity

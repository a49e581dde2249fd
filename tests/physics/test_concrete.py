from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.physics import concrete, vapour
from advisor.physics.units import PSI, US_PERM
from advisor.physics.validity import OutsideValidity
from advisor.physics.vapour import Layer


@pytest.mark.parametrize(("ratio", "psi"), [(0.41, 6000), (0.48, 5000), (0.57, 4000), (0.68, 3000), (0.82, 2000)])
def test_strength_of_a_mix(ratio, psi):
    # ACI 211.1-91, Table 6.3.4(a), no entrained air (from memory).
    assert concrete.mean_strength(ratio) / PSI == pytest.approx(psi, rel=0.03)


def test_humidity_under_a_finish_is_that_of_the_steady_state():
    retarder, finish = 0.1 * US_PERM, 0.5 * US_PERM
    slab = concrete.slab_layer(0.1, 4.65e-12)
    state = vapour.steady_state(
        10.0, 100.0, 22.0, 45.0, [Layer("retarder", retarder, 0.0), slab, Layer("finish", finish, 0.0)], 0.17
    )
    under = concrete.rh_under_finish(10.0, 100.0, 22.0, 45.0, 0.1, 4.65e-12, retarder, finish, 0.17)
    assert under == pytest.approx(state.interfaces[2].rh_percent)
    # The slab's top is warmer than the ground, by 0.1 m / 2 W/(m K) of 0.05 + 0.17 m2 K/W.
    assert state.interfaces[2].temp_c == pytest.approx(10.0 + 12.0 * 0.05 / 0.22)


@given(st.floats(0.3, 1.1), st.floats(0.05, 0.5), st.floats(-20.0, 40.0), st.floats(0.0, 100.0))
def test_one_and_many_agree(agree, ratio, thickness, temp, rh):
    agree(concrete.mean_strength, ratio)
    agree(concrete.rh_under_finish, temp, 100.0, 21.0, rh, thickness, 4e-12, 5e-12, 5e-11, 0.17, rel=1e-5)


@pytest.mark.parametrize(
    "call",
    [
        lambda: concrete.mean_strength(0.2),
        lambda: concrete.slab_layer(-0.1, 4e-12),
        lambda: concrete.slab_layer(0.1, 0.0),
        lambda: concrete.rh_under_finish(10.0, 100.0, 22.0, 120.0, 0.1, 4e-12, 5e-12, 5e-11, 0.17),
        lambda: concrete.rh_under_finish(10.0, 100.0, 22.0, 50.0, 0.1, 4e-12, 5e-12, 0.0, 0.17),
    ],
)
def test_refusals(call):
    with pytest.raises(OutsideValidity):
        call()

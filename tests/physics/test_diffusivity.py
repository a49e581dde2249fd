from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.physics.diffusivity import Diffusivity, bazant_1982, model_code, temperature_factor
from advisor.physics.validity import OutsideValidity


@pytest.mark.table("diffusivity")
def test_share_by_humidity(row):
    assert model_code(25e6).share(float(row["humidity"])) == pytest.approx(float(row["ratio"]), abs=6e-5)


@pytest.mark.table("diffusivity_temperature")
def test_factor_by_temperature(row):
    assert temperature_factor(float(row["temp_c"])) == pytest.approx(float(row["factor"]), abs=6e-4)


def test_constants():
    # fib Model Code 2010, 5.1 (from memory): 1e-9/(fck/10 MPa).  Bazant 1982: 3.10e-10, 0.75, a(20 °C) 0.0468.
    assert model_code(25e6).d1 == pytest.approx(4.0e-10)
    assert (bazant_1982().d1, bazant_1982().centre) == (3.10e-10, 0.75)
    assert bazant_1982().dry_share == pytest.approx(0.0468, abs=6e-5)


def test_it_falls_ten_to_twenty_times():
    # Bazant and Najjar 1972, abstract: 10 to 20 times between a humidity of 0.9 and 0.6.
    for law in (model_code(25e6), bazant_1982(16.0)):
        assert 10.0 <= law.share(0.9) / law.share(0.6) <= 21.4


@given(st.floats(0.0, 1.0), st.floats(-20.0, 60.0))
def test_one_and_many_agree(agree, humidity, temp):
    agree(model_code(30e6).share, humidity)
    agree(temperature_factor, temp)
    assert 0.05 <= model_code(30e6).share(humidity) <= 1.0


@pytest.mark.parametrize(
    "call",
    [
        lambda: model_code(0.0),
        lambda: model_code(float("nan")),
        lambda: bazant_1982(20.0),
        lambda: Diffusivity(-1e-10, 0.05),
        lambda: Diffusivity(1e-10, 0.0),
        lambda: Diffusivity(1e-10, 0.05, 1.0),
        lambda: Diffusivity(1e-10, 0.05, 0.8, 0.0),
        lambda: model_code(25e6).share(1.2),
        lambda: temperature_factor(100.0),
    ],
)
def test_refusals(call):
    with pytest.raises(OutsideValidity):
        call()

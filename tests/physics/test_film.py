from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.physics import film
from advisor.physics.units import GALLON, MIL, SQUARE_FOOT
from advisor.physics.validity import OutsideValidity

THICKNESS, SOLIDS, LOSS = st.floats(1e-5, 1e-2), st.floats(0.01, 1.0), st.floats(0.0, 0.95)


@pytest.mark.table("film")
def test_coverage_table(row):
    dry, solids = float(row["dry_mil"]) * MIL, float(row["solids"])
    shown = row["ft2_per_gal"]
    half_digit = 0.51 * 10.0 ** -len(shown.partition(".")[2])
    assert film.coverage(dry, solids) * GALLON / SQUARE_FOOT == pytest.approx(float(shown), abs=half_digit)
    if row["wet_mil"]:
        assert film.wet_thickness(dry, solids) / MIL == pytest.approx(float(row["wet_mil"]), abs=0.006)


def test_si_form_and_loss():
    # m2 per litre is solids x 1000 / micrometres; 100 at a loss of 30 % is 70.
    assert film.coverage(250e-6, 0.5) / 1000 == pytest.approx(0.5 * 1000 / 250)
    assert film.practical_coverage(100.0, 0.3) == pytest.approx(70.0)
    # Thinned by a fifth, the wet film grows by a fifth.
    assert film.wet_thickness(1e-4, 0.5, 0.2) == pytest.approx(1.2 * film.wet_thickness(1e-4, 0.5))


@given(THICKNESS, SOLIDS, LOSS, st.floats(0.0, 2.0), st.floats(0.0, 1e4))
def test_volume_is_conserved_and_one_and_many_agree(agree, dry, solids, loss, thinner, area):
    wet = film.wet_thickness(dry, solids, thinner) if dry * (1 + thinner) / solids <= 0.5 else dry
    if wet != dry:
        assert film.dry_thickness(wet, solids, thinner) == pytest.approx(dry)
        agree(film.dry_thickness, wet, solids, thinner)
    volume = film.volume_needed(area, dry, solids, loss)
    assert volume * solids * (1.0 - loss) == pytest.approx(area * dry)
    agree(film.wet_thickness, dry, solids, thinner)
    agree(film.coverage, dry, solids)
    agree(film.practical_coverage, 100.0, loss)
    agree(film.volume_needed, area, dry, solids, loss)


@pytest.mark.parametrize(
    ("call", "quantity"),
    [
        (lambda: film.coverage(1e-4, 1.2), "solids_by_volume"),
        (lambda: film.coverage(1e-4, 0.0), "solids_by_volume"),
        (lambda: film.coverage(-1e-4, 0.5), "dry_film"),
        (lambda: film.coverage(float("nan"), 0.5), "dry_film"),
        (lambda: film.wet_thickness(1e-4, 0.5, -0.1), "thinner_per_coating"),
        (lambda: film.dry_thickness(0.0, 0.5), "wet_film"),
        (lambda: film.practical_coverage(100.0, 1.0), "loss"),
        (lambda: film.practical_coverage(-1.0, 0.1), "theoretical_coverage"),
        (lambda: film.volume_needed(-1.0, 1e-4, 0.5, 0.1), "area"),
    ],
)
def test_refusals(call, quantity):
    with pytest.raises(OutsideValidity) as refusal:
        call()
    assert refusal.value.quantity == quantity

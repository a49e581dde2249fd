"""Worksheets of the trade against published tables; each expected figure stood here before the sheet was run."""

from __future__ import annotations

import pytest

from advisor.errors import BadCase
from tests.worksheets.test_worksheets import figures, work


@pytest.mark.parametrize(("changes", "minutes"), [("2 /h", 138), ("6 /h", 46), ("12 /h", 23)])
def test_ninety_nine_per_cent_are_gone_as_in_the_hospitals_table(changes: str, minutes: int) -> None:
    """CDC 2003, Guidelines for Environmental Infection Control, Table B.1, from memory."""
    steps = work("airing", start="100 mg/m3", end="1 mg/m3", air_changes=changes)
    assert figures(steps["hours of airing, well mixed"])[0] * 60 == pytest.approx(minutes, abs=0.6)


def test_a_room_below_the_end_needs_no_airing() -> None:
    steps = work("airing", start="1 mg/m3", end="10 mg/m3", air_changes="2 /h")
    assert figures(steps["hours of airing, well mixed"]) == [0.0]
    assert "there already" in steps["conclusion"]


def test_solvent_by_weight_solids() -> None:
    """Density 1.20 kg/L, 70 % solids, no water: 1.20 x 0.30 = 360 g/L by hand (40 CFR 60, Method 24, from memory)."""
    steps = work("solvent", density="1.2 kg/L", solids_by_weight="70 %", amount="10 L")
    assert figures(steps["solvent in a litre"])[0] == pytest.approx(360)
    assert figures(steps["solvent in all of it"])[0] == pytest.approx(3600)
    assert figures(work("solvent", voc="100 g/L", amount="4 L")["solvent in all of it"])[0] == 400


@pytest.mark.parametrize(
    "given",
    [
        {},
        {"density": "1.2 kg/L"},
        {"voc": "420 g/L", "density": "1 kg/L", "solids_by_weight": "50 %"},  # which make 500
        {"density": "1 kg/L", "solids_by_weight": "70 %", "water_by_weight": "40 %"},
    ],
)
def test_solvent_wants_one_way_and_no_more_than_the_whole(given: dict[str, str]) -> None:
    with pytest.raises(BadCase):
        work("solvent", **given)


@pytest.mark.parametrize(
    ("years", "how", "growth", "factor"),
    [
        ("10 year", "once", "0 %", 0.7441),
        ("10 year", "each_year", "0 %", 8.5302),
        ("10 year", "each_year", "2 %", 9.4813),
    ],
)
def test_factors_of_nist_handbook_135(years: str, how: str, growth: str, factor: float) -> None:
    steps = work("discounting", paid="1000", years=years, how=how, rate="3 %", growth=growth)
    assert figures(steps["factor"]) == [factor]
    assert float(steps["worth today"].replace(",", "")) == pytest.approx(1000 * factor, abs=0.06)


def test_what_is_paid_each_year_is_paid_for_whole_years() -> None:
    with pytest.raises(BadCase, match="whole"):
        work("discounting", paid="100", years="30 months", how="each_year")
    assert figures(work("discounting", paid="100", years="30 months")["factor"]) == [0.9288]  # 1.03^-2.5 by hand


def test_a_reading_above_the_limit_is_above_it_as_read() -> None:
    said = work("limit", reading="82 %", products_limit="80 %")["conclusion"]
    assert "Above the limit as read" in said
    assert "Too near" in work("limit", reading="79 %", products_limit="80 %")["conclusion"]


@pytest.mark.parametrize(
    ("readings", "use", "said"),
    [
        ("0.42, 0.44", "wet", "Every reading"),  # ANSI A326.3-2021: 0.42 wet indoors, the limit itself allowed
        ("0.41, 0.50", "wet", "the lowest does not"),
        ("0.48, 0.49", "very_wet", "do not reach"),  # 0.50
        ("0.54, 0.52", "outdoors_wet", "do not reach"),  # 0.55
        ("0.55", "oily", "Every reading"),
    ],
)
def test_friction_against_its_class(readings: str, use: str, said: str) -> None:
    assert said in work("grip", readings=readings, use=use)["conclusion"]


def test_a_rough_profile_swallows_a_thin_film() -> None:
    """The norm's 1 to 2.5 mil for CSP 3: of a 4 mil film 1.5 to 3 mil stand above the peaks, by hand."""
    steps = work("profile", csp="3", dry_thickness="4 mil")
    above = figures(steps["left above the peaks if only the sheet's thickness goes on"])
    assert above[:2] == pytest.approx([1.5 * 25.4, 3 * 25.4], rel=0.02) or above[-2:] == pytest.approx(
        [1.5, 3.0], rel=0.02
    )
    assert "more than a third" in steps["conclusion"]
    assert "thick enough" in work("profile", csp="2", dry_thickness="10 mil")["conclusion"]


@pytest.mark.parametrize(
    ("csp", "dry", "asked", "said"),
    [
        ("1", "1/4 in", "5 to 9", "Too smooth"),  # overlays of 1/8 to 1/4 in: CSP 5 to 9
        ("3", "16 mil", "3 to 5", "thick enough"),  # high-build films, 10 to 40 mil
        ("7", "20 mil", "3 to 5", "Too rough"),
        ("6", "80 mil", "4 to 6", "thick enough"),  # self-levelling, 50 mil to 1/8 in
        ("3", "2 mil", "1 to 2", "Too rough"),  # sealers, to 3 mil
        ("10", "1/2 in", "5 to 10", "thick enough"),
        ("9", "1/8 in", "4 to 6", "Too rough"),
        ("1", "8 to 20 mil", "1 to 5", "thick enough"),  # of two bands either
    ],
)
def test_a_film_against_the_standards_bands(csp: str, dry: str, asked: str, said: str) -> None:
    """ICRI 310.2R, quoted: profile by thickness of the system; CSP 10 has more than 1/4 in from peak to valley."""
    steps = work("profile", csp=csp, dry_thickness=dry)
    assert steps["profile that such a thickness wants, as CSP"] == asked
    assert said in steps["conclusion"]


@pytest.mark.parametrize(
    ("reading", "said"),
    [
        ("90 %", "Below"),
        ("93 %", "Below"),
        ("94 %", "Too near"),
        ("97 %", "Above the limit as read"),
        ("98 %", "Above"),
    ],
)
def test_a_product_s_own_limit_with_the_probe_s_error(reading: str, said: str) -> None:
    assert work("limit", reading=reading, products_limit="95 %")["conclusion"].startswith(said)

"""What people tell besides the complaint speaks on both sides: said this way it puts one cause first, else another.

What is expected was written down before it was run, from the sources that rules/causes/looks.yaml names; where it then
led elsewhere, the rules were mended or the floor was told more fully (a slab of 20 years).
"""

from __future__ import annotations

from datetime import date

import pytest

from advisor.answer.ranking import standings
from advisor.asking.causes import Inquiry
from advisor.facts.case import make_case
from advisor.facts.statements import read_statement

TODAY = date(2026, 11, 27)
SIDES = [
    ("tapped", {"trouble": "hollow", "trouble_where": "one_area"}, {"thin": "top_layer_loose", "deep": "settlement"}),
    (
        "hole_bottom",
        {"trouble": "popouts", "on_floor": "bare"},
        {"broken stone": "stone_popouts", "gel": "alkali_silica", "rebar": "rust_stains"},
    ),
    (
        "came_off_depth",
        {"trouble": "flakes", "on_floor": "bare", "exposure": "indoors"},
        {"few millimetres": "top_layer_loose", "skin": "weak_skin"},
    ),
    (
        "haze_lies",
        {"trouble": "cloudy", "on_floor": "film_sealer"},
        {"on_top": "mineral_deposit", "in_the_film": "sealed_damp"},
    ),
    (
        "slab_edges",
        {"trouble": "hollow", "trouble_where": "at_cracks_or_joints", "room": "warehouse"},
        {"curled up": "edges_curled", "sunk": "settlement"},
    ),
    ("ground_beneath", {"trouble": "cracks"}, {"fresh_fill": "settlement", "firm": "shrinkage_cracks"}),
    (
        "trouble_course",
        {"trouble": "patchy", "on_floor": "bare"},
        {"fades": "uneven_curing", "comes_and_goes": "white_bloom"},
    ),
    (
        "primed",
        {"trouble": "blisters", "on_floor": "thick_coating"},
        {"no": "air_from_pores", "yes": "vapour_from_below"},
    ),
    ("cleaned_with", {"trouble": "dull_lanes", "on_floor": "polish"}, {"much soap": "soap_film", "water": "wear"}),
    (
        "changed_before",
        {"trouble": "damp_spots"},
        {"burst pipe": "leak_or_spill", "fan off": "room_air_sweating"},
    ),
    (
        "laid_bare",
        {"trouble": "peels", "on_floor": "thick_coating", "slab_age": "20 years"},
        {"shiny": "too_smooth", "crumbly": "weak_skin", "oily": "oil_and_grease", "wet": "vapour_from_below"},
    ),
    (
        "made_of",
        {"trouble": "soft"},
        {"alkyd": "paint_turned_to_soap", "two_part": "poor_mixing"},
    ),
    (
        "sanded_between",
        {"trouble": "peels", "on_floor": "thick_coating"},
        {"no": "recoated_too_late", "yes": "too_smooth"},
    ),
    ("degreased", {"trouble": "craters", "on_floor": "paint"}, {"no": "oil_and_grease", "yes": "silicone"}),
    (
        "beside_it",
        {"trouble": "scaling", "exposure": "open_air", "on_floor": "bare"},
        {"holds": "weak_skin", "the_same": "frost_and_salt"},
    ),
    (
        "first_load_after",
        {"trouble": "scratched", "on_floor": "thick_coating"},
        {"24 h": "used_too_soon", "30 days": "wear"},
    ),
    (
        "trouble_also_where",
        {"trouble": "yellowed", "on_floor": "thick_coating"},
        {"in_sun": "sunlight_damage", "under_mats": "tyre_plasticiser"},
    ),
    (
        "joints_cut",
        {"trouble": "cracks", "on_floor": "bare", "crack_pattern": "fine_net"},
        {"in_time": "skin_crazing"},
    ),
    (
        "air_entrained",
        {"trouble": "scaling", "on_floor": "bare", "surface_texture": "hard_trowelled"},
        {"yes": "top_layer_loose", "no": "frost_and_salt"},
    ),
    (
        "pull_off_strength",
        {"trouble": "peels", "prepared_how": "etched"},
        {"100 psi": "weak_skin", "400 psi": "too_smooth"},
    ),
]


@pytest.mark.parametrize(("fact", "floor", "sides"), SIDES, ids=[each[0] for each in SIDES])
def test_what_is_told_speaks_on_both_sides(
    inquiry: Inquiry, fact: str, floor: dict[str, str], sides: dict[str, str]
) -> None:
    base = inquiry.reasoner.base
    for value, cause in sides.items():
        said = {name: read_statement(name, text, name, TODAY) for name, text in {**floor, fact: value}.items()}
        memory, trace = inquiry.reasoner.reason(inquiry.case(make_case(inquiry.base, said, TODAY)).facts)
        ranked = [each for each in standings(base, memory, trace) if each.verdict != "ruled out"]
        assert ranked[0].finish == cause, f"{fact}: {value}"

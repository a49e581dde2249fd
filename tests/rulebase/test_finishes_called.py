"""A finish is named as people name it, at every verb by one function."""

from __future__ import annotations

import pytest

from advisor.rulebase.rule_values import finishes_called
from tests.answer.test_judging import BASE


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("epoxy_flake", "epoxy_flake"),
        ("Flake epoxy with a clear coat", "epoxy_flake"),
        ("flake epoxy", "epoxy_flake"),
        ("natural-polished concrete", "polished_natural"),
        ("floor paint", "floor_paint"),
    ],
)
def test_one_finish_is_meant(typed: str, meant: str) -> None:
    assert finishes_called(BASE, typed) == [meant]


def test_every_id_and_name_means_its_finish_alone() -> None:
    for finish in BASE.finishes.values():
        assert finishes_called(BASE, finish.id) == [finish.id]
        assert finishes_called(BASE, finish.name) == [finish.id]


def test_what_may_be_several_names_them_and_nothing_means_none() -> None:
    several = finishes_called(BASE, "moisture mitigating primer")
    assert len(several) > 1
    assert all("mitigation" in each for each in several)
    assert finishes_called(BASE, "") == []
    assert finishes_called(BASE, "lawn") == []

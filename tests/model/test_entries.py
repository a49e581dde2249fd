"""What entries of the rule base and parts of an answer say of themselves."""

from __future__ import annotations

from advisor.model.finishes import Finish, PropertyValue
from advisor.model.standing import FinishStanding, Points
from advisor.physics.bounds import Interval


def told(low: float, high: float) -> PropertyValue:
    return PropertyValue.model_validate({"is": "x", "source": "x", "interval": Interval(low, high)})


def test_a_finish_goes_on_where_both_ends_of_its_limits_allow_it() -> None:
    """From 5 to 10 C up by its makers, and 30 to 35 C at most: 10 to 30 C is what all of them allow."""
    properties = {"lowest_temperature": told(5.0, 10.0), "highest_temperature": told(30.0, 35.0)}
    finish = Finish(id="film", name="film", family="film", what="a film", order=1, properties=properties)
    assert finish.window == Interval(10.0, 30.0)


def standing(**points: int) -> FinishStanding:
    awards = tuple(
        Points(rule="a.rule", because="So.", criterion=criterion, points=n, weighted=n)
        for criterion, sums in points.items()
        for n in (sums - 1, 1)
    )
    return FinishStanding(
        finish="film", name="film", verdict="suits", rank=1, total=0, ruled_out_by=(), first=(), points=awards
    )


def test_a_finish_is_behind_where_the_points_of_another_add_up_to_more() -> None:
    mine, theirs = standing(look=3, cost=2, grip=1), standing(look=4, cost=2, wear=1)
    assert mine.behind_on(theirs) == ["look", "wear"]
    assert theirs.behind_on(mine) == ["grip"]
    assert mine.behind_on(mine) == []

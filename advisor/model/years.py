"""The year to which ages are counted: a limit that stands for the end of a calendar year is an age, and grows."""

from __future__ import annotations

from advisor.model.knowledge import RuleBase
from advisor.model.materials import Norm
from advisor.model.remembered import OncePerBase
from advisor.model.rules import Limit

THIS_YEAR = "this_year"  # the norm

_counted: OncePerBase[dict[int, RuleBase]] = OncePerBase(lambda _: {})


def in_year(base: RuleBase, year: int | None) -> RuleBase:
    """The rule base with ages counted to a year; the same object where they are already.

    Args:
        base: a rule base; one that counts no ages stays as it is.
        year: of the day on which advice is given; none: as the rule base counts.
    """
    norm = base.norms.get(THIS_YEAR)
    if norm is None or year is None or norm.interval.low == year:
        return base
    known = _counted(base)
    if year not in known:
        norms = {**base.norms, THIS_YEAR: Norm.model_validate({**norm.model_dump(by_alias=True), "is": str(year)})}
        known[year] = base.model_copy(update={"norms": norms, "limits": aged(base.limits, norms)})
    return known[year]


def aged(limits: dict[str, Limit], norms: dict[str, Norm]) -> dict[str, Limit]:
    """The limits, those of the end of a year as whole years since.

    What was put down in that year is at least so old; so what is younger is surely from after it.
    """
    norm = norms.get(THIS_YEAR)
    if norm is None:
        return limits
    return {name: _aged(limit, round(norm.interval.low)) if limit.end_of else limit for name, limit in limits.items()}


def _aged(limit: Limit, year: int) -> Limit:
    return limit.model_copy(update={"given": f"{max(0, year - int(limit.end_of) - 1)} years"})

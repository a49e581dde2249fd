"""The outlook of a case in plain sentences: what is certain, and what it may still come to."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from math import ceil, floor
from typing import Literal

from advisor.answer.kind_words import outlook
from advisor.answer.ranking import Recommendation
from advisor.asking.outlook import Outlook, Turn
from advisor.model.knowledge import RuleBase
from advisor.model.quantities import show
from advisor.model.units import UNITS
from advisor.model.vocabulary import FactKind
from explanations.wording import has_text, label, listed, wording

MOST_TURNS = 5
MOST_STRETCHES = 2  # of a number that are told one by one
OTHERS_NAMED = 2  # answers that more floors end with
OFTEN = 0.1  # share of the floors below which an end is not named
EXACTLY = "exactly "  # before a single number
LEAST_SHARE = 0.02  # rarer turns are counted, not named


def recommended(base: RuleBase, recommendation: Recommendation, poor: bool = False) -> str:
    """A recommendation in a few words; `poor` where more speaks against its finish than for it."""
    name = base.finishes[recommendation.finish].name if recommendation.finish else ""
    return outlook(recommendation.kind, name, poor)


def most_often(look: Outlook) -> Iterator[str]:
    """What other answers most floors end with, where they are no rarer than the one given now; two at most."""
    met = Counter[Recommendation]()
    for each, some in look.recommended.items():
        end = Recommendation("finish" if each.finish else each.kind, each.finish)
        met[end] += (some & look.floors.real).bit_count()
    now = look.now._replace(kind="finish") if look.now.finish else look.now
    for each, often in met.most_common(OTHERS_NAMED):
        if each == now:
            return
        if often >= OFTEN * look.real:
            yield recommended(look.judge.base, each)


def percent(share: float) -> str:
    """A share as people say it.

    >>> percent(0.004), percent(0.637), percent(0.997)
    ('under 1 %', '64 %', 'over 99 %')
    """
    if share < 0.01:
        return "under 1 %"
    return "over 99 %" if 0.99 < share < 1 else f"{share * 100:.0f} %"


def turns_told(base: RuleBase, turns: Iterable[Turn]) -> Iterator[str]:
    """What the case may still come to, likeliest first."""
    turns = list(turns)
    named = [turn for turn in turns[:MOST_TURNS] if turn.share >= LEAST_SHARE] or turns[:1]
    for turn in named:
        yield f"{percent(turn.share)}: {recommended(base, turn.recommendation)}"
    rest = turns[len(named) :]
    if len(rest) == 1:
        yield f"{percent(rest[0].share)}: {recommended(base, rest[0].recommendation)}"
    elif rest:
        yield wording("asking.other_outcomes", share=percent(sum(turn.share for turn in rest)), n=len(rest))


def values_told(stretches: Iterable[str]) -> str:
    """Values in a few words; single ones that only bound a stretch are left out, and many stretches are told as one.

    >>> values_told(["0 to 4 in", "exactly 4 in"])
    '0 to 4 in'
    >>> values_told(["5 to 7 years", "10 to 15 years", "18 to 20 years"])
    '5 to 20 years, in 3 stretches'
    """
    stretches = list(stretches)
    between = [each for each in stretches if not each.startswith(EXACTLY)]
    apart = joined(between or stretches)
    ends = [_STRETCH.fullmatch(each) for each in apart]
    first, last = (ends[0], ends[-1]) if len(apart) > MOST_STRETCHES else (None, None)
    if first and last and all(each and each[2] and each[3] == last[3] for each in ends):
        return wording("certainty.stretches", low=first[1], high=last[2], unit=last[3] or "", n=len(apart))
    return listed(apart, "or")


def clause(kind: FactKind, fact: str, values: str, choices: Sequence[str] = ()) -> str:
    """What a fact says when it has these values, as it reads after "if".

    Args:
        kind: the fact's kind.
        fact: the fact.
        values: in words.
        choices: of no number, the values themselves.
    """
    told = reaching(kind, values) if kind.type == "number" else values
    chosen = choices[0] if len(choices) == 1 else ""
    if has_text(f"clauses.{fact}") and (kind.type != "yes/no" or chosen):
        return wording(f"clauses.{fact}", values=told, choice=chosen)
    return wording("certainty.clause", fact=label("fact", fact), values=told)


def reaching(kind: FactKind, values: str) -> str:
    """A stretch that reaches to an end of what is plausible, told by its other end: `over 85 %`, `under 3 in`."""
    span, all_of_it = _STRETCH.fullmatch(values), _STRETCH.fullmatch(show(kind.plausible, kind.unit))
    if span is None or all_of_it is None or span[2] is None or span[3] != all_of_it[3]:
        return in_years(values)
    from_low, to_high = span[1] == all_of_it[1], span[2] == all_of_it[2]
    if from_low == to_high:
        return in_years(values)
    key, end = ("certainty.over", span[1]) if to_high else ("certainty.under", span[2])
    if from_low and end == "1" and UNITS[kind.unit].whole:
        return wording("certainty.none")
    return in_years(wording(key, end=f"{end}{span[3] or ''}"))


def in_years(values: str) -> str:
    """Times in days from two years on as people say them: whole years, and the days over where there are any.

    >>> in_years("under 7670 days"), in_years("7670 to 16436 days"), in_years("28 to 7670 days")
    ('under 21 years', '21 to 45 years', '28 to 7670 days')
    >>> in_years("7700 to 16436 days"), in_years("17166.5 days or more")
    ('21 years and 30 days to 45 years', '47 years or more')
    """

    def years(match: re.Match[str]) -> str:
        ends = [float(each) for each in match.groups() if each]
        if min(ends) < 2 * A_YEAR:
            return match[0]
        told = [_years_and_days(end) for end in ends]
        if any(days for _, days in told):
            return " to ".join(wording("certainty.years_and_days", years=some, days=days) for some, days in told)
        return wording("certainty.years", span=" to ".join(str(some) for some, _ in told))

    return _DAYS.sub(years, values)


def _years_and_days(days: float) -> tuple[int, int]:
    """Whole years, and the days over; what lies a step of a day beside a limit in years is told by the limit."""
    years = round(days / A_YEAR)
    if abs(days - years * A_YEAR) > BESIDE:
        years = int(days / A_YEAR)
        return years, round(days - years * A_YEAR)
    return years, 0


def end_in_years(days: float, end: Literal["low", "high"]) -> tuple[str, bool]:
    """The end of a stretch of times, which belongs to it, in years and days: never past it, nor a whole day short.

    Returns:
        The time, and whether it is a limit that itself does not belong to the stretch.

    >>> end_in_years(7305.0, "low"), end_in_years(7306.0, "low"), end_in_years(7304.0, "high")
    (('20 years', False), ('over 20 years', True), ('under 20 years', True))
    >>> end_in_years(7700.0, "low")[0], end_in_years(7700.0, "high")[0], end_in_years(7306.0, "high")[0]
    ('21 years and 30 days', '21 years and 29 days', '20 years and 1 day')
    """
    nearest = round(days / A_YEAR)
    beyond = days - nearest * A_YEAR if end == "low" else nearest * A_YEAR - days
    if NO_TIME < beyond < BESIDE:
        limit = wording("certainty.years_and_days", years=nearest, days=0)
        return wording("certainty.over" if end == "low" else "certainty.under", end=limit), True
    years = int((days + NO_TIME) / A_YEAR)
    over = days - years * A_YEAR
    whole = ceil(over - NO_TIME) if end == "low" else floor(over + NO_TIME)
    return wording("certainty.years_and_days", years=years, days=whole), False


def beside_a_year(days: float) -> bool:
    """Whether a time is a whole number of years, but for a step of a day.

    >>> beside_a_year(365.25), beside_a_year(364.25), beside_a_year(300.0), beside_a_year(1.0)
    (True, True, False, False)
    """
    years = round(days / A_YEAR)
    return years > 0 and abs(days - years * A_YEAR) < BESIDE


A_YEAR, BESIDE, NO_TIME = 365.25, 1.5, 1e-6  # days
_DAYS = re.compile(r"(?:([\d.]+) to )?([\d.]+) days")
_STRETCH = re.compile(r"(\S+)(?: to (\S+))?( .+)?")


def joined(stretches: Iterable[str]) -> list[str]:
    """Stretches of a number that follow each other told as one: `2 to 3 days`, `3 to 9 days` are `2 to 9 days`."""
    joined: list[str] = []
    for stretch in stretches:
        before, now = (_STRETCH.fullmatch(each) for each in (joined[-1] if joined else "", stretch))
        if before and now and before[2] == now[1] and before[3] == now[3]:
            joined[-1] = f"{before[1]} to {now[2] or now[1]}{now[3] or ''}"
        else:
            joined.append(stretch)
    return joined

"""What stands on a part of the floor only: its area, and the length of what runs in lines."""

from __future__ import annotations

from typing import Any

from advisor.physics.bounds import Span
from advisor.physics.elementwise import choose, greatest, least
from advisor.work.settings import AREA, Setting, Work

MM = 1e-3  # m
NOTHING = Span(0.0, 0.0)


def share_of(fact: str) -> str:
    """The name of the uncertainty how much of the floor is stained, cracked or broken."""
    return f"share:{fact}"


def spot_area(job: Work, fact: str, setting: Setting) -> Any:
    """The part of the floor [m2] that a fact tells of: as measured, else the usual share; 0 where there is none."""
    return setting.at(share_of(fact), _spots(job, fact, setting)[0])


def run_length(job: Work, fact: str, setting: Setting) -> Any:
    """The length [m] of what runs over the floor in lines, such as cracks: as measured, else by the usual share."""
    return setting.at(share_of(fact), _spots(job, fact, setting)[1])


def _spots(job: Work, fact: str, setting: Setting) -> tuple[Span, Span]:
    """Area [m2] and length [m]: where the fact is unknown, anything that its values may come to.

    There is no length where it does not run in lines.
    """
    spots, floor = job.base.spots[fact], setting.at(AREA, job.extent.area)
    known, measured = job.told(spots.measured) if spots.measured else (False, NOTHING)
    area, length = Span(float("inf"), 0.0), Span(float("inf"), 0.0)
    for value in job.base.facts[fact].choices or ("usual",):
        usual, wide = job.norm(f"{fact}_{value}"), spots.wide.get(value)
        here = value == "usual" or job.may_be(fact, value)
        if here is False:
            continue
        share, run = Span(floor * usual.low, floor * usual.high), NOTHING
        if usual.high > 0 and wide:
            run = Span(share.low / wide.high / MM, share.high / wide.low / MM)
            if spots.between_walls:  # panels from wall to wall: the walls need no line
                run = Span(greatest(run.low - job.extent.edges.low / 2.0, 0.0), run.high)
                share = Span(run.low * wide.low * MM, share.high)
            run = chosen(known, measured, run)
            share = chosen(known, Span(measured.low * wide.low * MM, measured.high * wide.high * MM), share)
        elif usual.high > 0:
            share = chosen(known, Span(least(floor, measured.low), least(floor, measured.high)), share)
        area, length = _widened(area, here, share), _widened(length, here, run)
    return area, length


def chosen(here: Any, this: Span, else_: Span) -> Span:
    """The one span where a flag holds, the other elsewhere."""
    return Span(choose(here, this.low, else_.low), choose(here, this.high, else_.high))


def _widened(span: Span, here: Any, more: Span) -> Span:
    return chosen(here, Span(least(span.low, more.low), greatest(span.high, more.high)), span)

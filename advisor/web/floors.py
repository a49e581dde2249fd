"""The study of a visit, which every further page of one visitor needs again."""

from __future__ import annotations

from advisor.facts.case import Case
from advisor.web.asked import Desk
from advisor.web.recent import Recent
from advisor.web.visit import Visit
from advisor.work.fit import study_fully
from advisor.work.takeoff import TakeOff

MOST_STUDIES = 16  # of the visitors that came last, in each process
_studies: Recent[TakeOff] = Recent(MOST_STUDIES)


def study_of(desk: Desk, visit: Visit, case: Case) -> TakeOff:
    """The whole answer for a visit, and what its estimates start from.

    Args:
        desk: the rule base made ready.
        visit: what was said.
        case: the same as a case.
    """
    key = (visit, desk.today, id(desk.base), desk.house.prices)
    return _studies.of(key, lambda: study_fully(desk.reasoner, case, desk.today, prices=desk.house.prices))

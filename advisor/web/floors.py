"""The study of a visit, which every further page of one visitor needs again."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Hashable

from advisor.facts.case import Case
from advisor.web.asked import Desk
from advisor.web.visit import Visit
from advisor.work.fit import study_fully
from advisor.work.takeoff import TakeOff

MOST_STUDIES = 16  # of the visitors that came last, in each process
_studies: OrderedDict[Hashable, TakeOff] = OrderedDict()


def study_of(desk: Desk, visit: Visit, case: Case) -> TakeOff:
    """The whole answer for a visit, and what its estimates start from.

    Args:
        desk: the rule base made ready.
        visit: what was said.
        case: the same as a case.
    """
    key = (visit, desk.today, id(desk.base), desk.house.prices)
    if key not in _studies:
        _studies[key] = study_fully(desk.reasoner, case, desk.today, prices=desk.house.prices)
        while len(_studies) > MOST_STUDIES:
            _studies.popitem(last=False)
    _studies.move_to_end(key)
    return _studies[key]

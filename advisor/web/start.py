"""The first page: what this is, and the ways in."""

from __future__ import annotations

from pathlib import Path, PurePath

from advisor.demo import demo_cases, find_case
from advisor.errors import BadRequest, Fault
from advisor.facts.case import read_case
from advisor.reference.rule_diff import ENDINGS
from advisor.sent import Sent
from advisor.web.asked import Asked, Desk, Reply, Route, on_to
from advisor.web.rendering import address, page
from advisor.web.visit import case_of, pack, visit_of
from explanations.wording import wording

# The ways in, in the order in which they are shown: the name of each below `web.ways`, and its address.
WAYS = {"home": "/home", "wrong": "/wrong", "counter": "/counter", "lesson": "/lesson", "rules": "/rules"}
# Where an example floor is shown first.
EXAMPLES = {name: at for name, at in WAYS.items() if name != "rules"} | {"home": "/home/answer"}


def first(desk: Desk, _: Asked) -> Reply:
    """The first page."""
    return page("start.html", ways=WAYS, examples=EXAMPLES, floors=example_floors(desk))


def example_floors(desk: Desk) -> dict[str, str]:
    """What the floor of each demo case is called."""
    return {name: read_case(path, desk.base, desk.today).floor for name, path in demo_cases().items()}


def example(desk: Desk, asked: Asked) -> Reply:
    """Go on with an example floor, in the way asked for."""
    case = read_case(find_case(Path(Path(asked.one("floor")).stem)), desk.base, desk.today)
    way = EXAMPLES.get(asked.one("way"), EXAMPLES["home"])
    return on_to(address(way, case=pack(visit_of(case), desk.base)))


def opened(desk: Desk, asked: Asked) -> Reply:
    """Go on with a floor that was saved before, here or by the commands."""
    name, content = asked.files.get("file", ("", b""))
    if not content:
        raise BadRequest([Fault("", wording("web.start.no_file"))])
    ending = PurePath(name).suffix.lower()
    case = read_case(Sent("floor", content, ending if ending in ENDINGS else ".yaml"), desk.base, desk.today)
    visit = visit_of(case)
    case_of(desk.base, visit, desk.today)
    return on_to(address(EXAMPLES["home"], case=pack(visit, desk.base)))


ROUTES = (Route("/", first), Route("/example", example), Route("/open", opened, "POST"))

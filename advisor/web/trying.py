"""Rules of one's own tried in the page before they are used: against all demo cases and every claim.

The same functions as `advisor diff` and `advisor audit`, in the process of a trial (`trials`).
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

from advisor.demo import demo_cases
from advisor.errors import AdvisorError, BadRequest, Fault
from advisor.web.asked import Asked, Desk, Reply, Route, on_to
from advisor.web.held import Held
from advisor.web.rendering import address, page
from advisor.web.trials import MOST_TRIED, Heard, Trial
from explanations.files import write_whole
from explanations.wording import wording


def telling(sent: str) -> Iterator[Heard]:
    """Lay what was sent over the shipped rules; tell its faults, or what it changes and which claims still hold."""
    from datetime import date

    from advisor.model.years import in_year
    from advisor.reference.rule_diff import compare
    from advisor.validation.audit import audit
    from advisor.validation.audit.words import shown
    from advisor.validation.loading import load_rulebase

    with TemporaryDirectory() as place:
        folder = Path(place) / "overlay"
        folder.mkdir()
        write_whole(folder / "tried.yaml", sent.encode())
        yield Heard("step", "reading")
        try:
            shipped = load_rulebase()
            base = load_rulebase(folder, proved=False)
            yield Heard("step", "cases")
            before, after = (in_year(each, date.today().year) for each in (shipped, base))
            for change in compare(before, after, demo_cases().values()):
                yield Heard("case", change.case, change.differences)
        except AdvisorError as error:
            for fault in error.faults:
                where = fault.where.rpartition(f"{place}/")[2]
                yield Heard("fault", where, tuple(filter(None, (fault.what, fault.allowed, fault.remedy))))
            return
        yield Heard("step", "claims", (str(len(base.claims) + len(base.cause_claims)),))
        for finding in audit(base):
            broken = (wording("audit.broken", what=each.what, floor=shown(each)) for each in finding.breaks)
            yield Heard("claim", finding.outcome, (finding.claim, finding.says, *broken))


def offer(_: Desk, asked: Asked) -> Reply:
    """Where rules are pasted, or sent as a file."""
    return page("rules/try.html", case="", token=asked.token, most=MOST_TRIED)


def begin(held: Held, asked: Asked) -> Reply:
    """Begin a trial of what was pasted, or of the file that was sent."""
    _, content = asked.files.get("file", ("", b""))
    try:
        sent = content.decode() if content else asked.one("rules")
    except UnicodeDecodeError:
        raise BadRequest([Fault("", wording("web_try.no_text"))]) from None
    return on_to(address("/rules/tried", key=held.trials.begin(sent)))


def trial_of(held: Held, asked: Asked) -> Hashable:
    """A trial as far as it has come."""
    return held.trials.trial(asked.one("key"))


def tried(_: Desk, asked: Asked) -> Reply:
    """What was found so far, and whether it is all."""
    trial = asked.held
    assert isinstance(trial, Trial)
    of_kind = {kind: [each for each in trial.heard if each.kind == kind] for kind in ("step", "fault", "case", "claim")}
    claims = of_kind["claim"]
    steps = of_kind["step"]
    return page(
        "rules/tried.html",
        case="",
        trial=trial,
        step=steps[-1].name if steps else "",
        faults=of_kind["fault"],
        cases=of_kind["case"],
        touched=sum(bool(each.lines) for each in of_kind["case"]),
        of=next((int(each.lines[0]) for each in steps if each.lines), 0),
        outcomes={what: [each for each in claims if each.name == what] for what in ("refuted", "open", "proved")},
        n=len(claims),
    )


ROUTES = (
    Route("/rules/try", offer, changes=True),
    Route("/rules/try", None, "POST", at_hand=begin, changes=True),
    Route("/rules/tried", tried, at_hand=trial_of, kept=False),
)

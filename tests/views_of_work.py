"""What the views of the work on one floor say of the same things: advise, why, compare, letter, plan, cost, graph.

Each thing is worked out once from the advice and the take-off (`Said`), and sought in every view that tells it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, time
from functools import cached_property

from advisor.answer.apart import drawbacks
from advisor.answer.kind_words import before_buying, please_wait
from advisor.answer.picturing import advice_graph
from advisor.asking.why import why_lines
from advisor.engines.reasoning import Reasoner
from advisor.model.reader import days_words
from advisor.model.standing import FinishStanding
from advisor.pages.advice_report import advice_page
from advisor.pages.blocks import Block, Listing, Notice, Page, Paragraph, Table, Terms
from advisor.pages.compare import Column, compare_page, compared
from advisor.pages.letter import letter_page
from advisor.pages.lists import cost_page, materials_page
from advisor.pages.parts import heads
from advisor.pages.plan_page import plan_page
from advisor.pages.reason_words import of_it
from advisor.pages.short_answer import short_page
from advisor.work.before import before
from advisor.work.explained import explained_fully
from advisor.work.fit import fitted
from advisor.work.takeoff import TakeOff
from explanations.comparing import against, reasons
from explanations.reading import measuring
from explanations.wording import label, wording
from explanations.words import first_sentence, inside

RATE = 0.03
TOLD_AGAINST = 2  # drawbacks that every view of the answer tells
TOLD_FIRST = 3  # things to do or test first that every view of the answer names


def disagreements(reasoner: Reasoner, study: TakeOff) -> Iterator[str]:
    """What two views of a floor's work say otherwise."""
    said = Said(reasoner, fitted(study.fully_advised()))
    with measuring(study.reading):
        yield from said.answered()
        yield from said.stopped()
        if said.open_to_work:
            for each in (said.against, said.first, said.cost_and_days, said.runner_up):
                yield from each()


@dataclass
class Said:
    """One study, with every page made of it."""

    reasoner: Reasoner
    study: TakeOff

    @property
    def open_to_work(self) -> bool:
        """Whether a finish leads and nothing stops or holds the floor."""
        advice = self.study.advice
        return bool(advice.answer.leading) and not advice.stops and not advice.holds

    @cached_property
    def pages(self) -> dict[str, tuple[Block, ...]]:
        """The blocks of each page that can be made for this floor, by its verb."""
        study, leading = self.study, self.study.advice.answer.leading
        found = {
            "advise": short_page(study.advice).blocks,
            "advise --full": advice_page(study.advice).blocks,
            "letter": letter_page(study, RATE).blocks,
        }
        if leading:
            found |= {
                "compare": compare_page(study, self.columns).blocks,
                "cost": cost_page(study, leading, RATE).blocks,
                "materials": materials_page(study, leading).blocks,
                "plan": plan_page(study, leading, datetime.combine(study.today, time())).blocks,
            }
        return found

    @cached_property
    def columns(self) -> list[Column]:
        """What `compare` sets side by side."""
        return compared(self.study, [], RATE)

    @cached_property
    def texts(self) -> dict[str, str]:
        """The words of each page, and of `why`, in one line each."""
        told = explained_fully(self.reasoner, self.study.case, self.study.today)
        why = " ".join(" ".join(why_lines(told, None, "paragraph")).split())
        return {"why": why, **{name: flat(blocks) for name, blocks in self.pages.items()}}

    def margin(self, name: str) -> str:
        """What stands on the one screen beside a word at its margin; nothing where it has no such word."""
        terms = [term for each in self.pages["advise"] if isinstance(each, Terms) for term in each.terms]
        return " ".join(" ".join(each.items) for each in terms if each.name == wording(f"short.margin.{name}"))

    @property
    def leading(self) -> FinishStanding:
        """The finish that leads, in the reader's units."""
        assert self.study.advice.answer.leading
        return self.study.standing(self.study.advice.answer.leading)

    def lacking(self, what: str, words: str, views: Iterable[str]) -> Iterator[str]:
        """The views that do not have the words."""
        yield from (f"{view}: {what}: not {words!r}" for view in views if words not in self.texts[view])

    def answered(self) -> Iterator[str]:
        """The first sentence, and how settled it is, wherever they are told; nothing else of that anywhere."""
        advice, kind = self.study.advice, self.study.advice.answer.kind
        shown = {
            "advise": not advice.stops,
            "advise --full": True,
            "letter": len(advice.stops) < 2,
            "compare": "compare" in self.texts,
        }
        yield from self.lacking("the answer", flat_text(advice.opening), [each for each in shown if shown[each]])
        if kind in ("finish", "test first"):  # of others the paragraph tells the kind, and then why
            yield from self.lacking("the answer", flat_text(advice.opening.rstrip(".")), ["why"])
        if advice.certainty and not advice.stops:
            says = flat_text(advice.certainty.says)
            yield from self.lacking("how settled", says, ["advise --full", "letter"])
            yield from self.lacking("how settled", first_sentence(says), ["advise"])

    def stopped(self) -> Iterator[str]:
        """The same stops and holds above every page, and nothing to buy before they are done."""
        advice, leading = self.study.advice, self.study.advice.answer.leading
        for view, blocks in self.pages.items():
            if view.startswith("advise"):
                continue
            notices = {each.title: each.items for each in blocks if isinstance(each, Notice)}
            above = wording("letter.stop" if view == "letter" else "page.stop")
            stops, holds = notices.get(above, ()), notices.get(wording("page.hold"), ())
            same = [each.tell in item for each, item in zip(advice.stops, stops, strict=False)]
            yield from unless(all(same) and len(stops) == len(advice.stops), f"{view}: other stops")
            yield from unless(len(holds) == len(advice.holds), f"{view}: other holds")
        waits = wording("letter.wait") in self.texts["letter"]
        yield from unless(waits != self.open_to_work, "letter: it lets buy otherwise")
        please = {please_wait(["test"]), please_wait(["choose"])}
        told_to_wait = {each.text for each in self.pages["letter"] if isinstance(each, Paragraph)} & please
        asked = {please_wait(advice.answer.waits_for)} if advice.answer.kind == "test first" else set()
        yield from unless(told_to_wait == asked, "pages: the letter waits otherwise")
        if leading and not advice.stops:
            notices = {each.title: each.items for each in heads(self.study, "", leading) if isinstance(each, Notice)}
            deciding = [each for each in self.leading.first if each.decides]
            title = before_buying([each.kind for each in deciding])
            told = notices.get(title, ()) if deciding else ()
            yield from unless(tuple(each.says for each in deciding) == told, "cost, materials: it waits otherwise")

    def against(self) -> Iterator[str]:
        """The worst drawbacks of the finish that leads: everywhere the same two, the worst first."""
        worst = drawbacks(self.leading, TOLD_AGAINST)
        places = dict.fromkeys(("advise", "letter", "why"), -1)
        for each in worst:
            told = flat_text(first_sentence(each.because))
            for view in places:
                it = flat_text(of_it(each.because, self.leading.name))  # as the one screen has it
                ways = (told, inside(told), *([it] if view == "advise" else []))
                at = max(self.texts[view].find(some, places[view] + 1) for some in ways)
                yield from unless(at > places[view], f"{view}: less against it, or in another order: {told!r}")
                places[view] = at
        graph = advice_graph(self.study.advice, self.study.base)
        drawn = [each.rule for each in against(graph, self.leading.finish)[:TOLD_AGAINST]]
        yield from unless(drawn == [each.rule for each in worst], "graph: less against it, or in another order")

    def first(self) -> Iterator[str]:
        """What comes first, in one order."""
        needs = [each.need for each in self.leading.first]
        steps = before(self.study, self.leading.finish).steps
        yield from unless([each.need for each in steps] == needs, "plan: another order of what comes first")
        plan = [e.items for e in self.pages["plan"] if isinstance(e, Notice) and e.title == wording("days.before")]
        yield from unless([*sum(plan, ())] == [each.words for each in steps], "plan: what comes first, otherwise")
        graph = advice_graph(self.study.advice, self.study.base)
        drawn = [*reasons(graph, self.leading.finish, "first")]
        yield from unless(drawn == needs, "graph: what comes first, otherwise")
        listed = [each.items for each in self.pages["letter"] if isinstance(each, Listing) and each.numbered]
        letter = [str(each) for each in sum(listed, ())]
        yield from unless(len(letter) == len(needs), "letter: more or less comes first")
        heads_of = [first_sentence(each.says) for each in steps]
        told_so = all(each.startswith(head) for each, head in zip(letter, heads_of, strict=False))
        yield from unless(told_so, f"letter: another order of what comes first: {needs}, {letter}")
        why = self.texts["why"].partition(wording("briefly.comes_first", needs="@").partition("@")[0])[2]
        for view, text, some in (("advise", self.margin("first"), needs), ("why", why, needs[:TOLD_FIRST])):
            places = [text.find(label("need", each)) for each in some]
            yield from unless(-1 not in places, f"{view}: not all that comes first: {some}, {text}")
            yield from unless(places == sorted(places), f"{view}: another order of what comes first: {some}, {text}")
        if self.leading.verdict == "suits if":
            counted = wording("compare.verdict.suits_if", n=len(needs))
            yield from self.lacking("how much comes first", counted, ["compare"])

    def cost_and_days(self) -> Iterator[str]:
        """One cost and one time, told in every view in the same figures."""
        fit, study = self.study.advice.fit, self.study
        column = next(each for each in self.columns if each.finish.id == self.leading.finish)
        if fit is None:
            return
        low, high = column.figures.hired if study.hired else column.figures.own
        yield from unless((low.total, high.total) == fit.cost, "cost and compare: another cost")
        yield from unless(column.shut == fit.days, "compare: other days")
        yield from self.lacking("cost", study.reader.money(*fit.cost), ["advise", "letter", "cost", "compare"])
        yield from self.lacking("days", days_words(*fit.days), ["advise", "letter", "plan", "compare"])
        for view in ("cost", "plan", "materials"):
            told = all(flat_text(each) in self.texts[view] for each in fit.says)
            yield from unless(told == bool(fit.but), f"{view}: it fits otherwise")

    def runner_up(self) -> Iterator[str]:
        """The finish that comes second, by the same points."""
        second = self.study.advice.standing(self.study.advice.answer.runner_up)
        if second is None:
            return
        gap = self.leading.total - second.total
        told = wording("short.runner_up", finish=second.name, n=gap, criteria="none")
        yield from self.lacking("runner-up", first_sentence(told), ["advise"])
        yield from self.lacking("runner-up", wording("briefly.next", finish=second.name, gap=gap), ["why"])
        yield from self.lacking("runner-up", second.name, ["compare", "letter"])
        heads_of = [each.head for each in self.pages["compare"] if isinstance(each, Table)][:1]
        yield from unless(heads_of[0][1:3] == (self.leading.name, second.name), "compare: another order")


def flat(blocks: Iterable[Block]) -> str:
    """All that blocks say, in one line; of a table cell by cell, which beside each other are broken."""
    return " ".join(
        " ".join(cell for row in (each.head, *each.rows) for cell in row)
        if isinstance(each, Table)
        else flat_text(Page("", (each,)).words())
        for each in blocks
    )


def flat_text(text: str) -> str:
    """A text in one line."""
    return " ".join(text.split())


def unless(so: bool, what: str) -> Iterator[str]:
    """What differs, unless it is so."""
    if not so:
        yield what

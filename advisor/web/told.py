"""What the pages on request tell: the same pages that the commands print."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, time, timedelta
from itertools import zip_longest

from advisor.pages.blocks import Block, Heading, Item, Listing, Page, Paragraph
from advisor.pages.shop import NOBODY, Shop
from advisor.web.asked import Reply
from advisor.work.takeoff import TakeOff
from explanations.telling import tell
from explanations.wording import wording


def in_full(study: TakeOff) -> tuple[Page, ...]:
    """Everything: every reason, hazard and finish."""
    from advisor.pages.advice_report import advice_page

    return (advice_page(study.advice),)


def why(study: TakeOff) -> tuple[Page, ...]:
    """The reasons in a paragraph, then in full, down to the visitor's own facts."""
    from advisor.answer.picturing import advice_graph

    graph = advice_graph(study.advice, study.base)
    blocks: list[Block] = [Heading(wording("answer.why", floor=study.advice.floor), 1)]
    blocks += as_blocks(tell(graph, "paragraph", None))
    _, _, below = tell(graph, "full", None).partition("\n")  # it begins with the paragraph
    blocks += [Heading(wording("web.more.in_detail")), *as_blocks(below)]
    return (Page(wording("web.more.names.why"), tuple(blocks)),)


def takes(study: TakeOff) -> tuple[Page, ...]:
    """What it costs, and what to buy and hire."""
    from advisor.pages.lists import cost_page, materials_page

    finish = study.chosen(None)
    rate = study.base.norms["discount_rate"].interval.low / 100.0
    return cost_page(study, finish, rate), materials_page(study, finish)


def plan(study: TakeOff) -> tuple[Page, ...]:
    """Steps, hazards and days from tomorrow on."""
    from advisor.pages.plan_page import plan_page

    first = datetime.combine(study.today + timedelta(days=1), time())
    return (plan_page(study, study.chosen(None), first),)


def letter(study: TakeOff, shop: Shop = NOBODY, to: Sequence[str] = ()) -> tuple[Page, ...]:
    """The letter, from a shop and to somebody where they are named."""
    from advisor.pages.letter import letter_page

    rate = study.base.norms["discount_rate"].interval.low / 100.0
    return (letter_page(study, rate, shop, to),)


def letter_file(study: TakeOff, shop: Shop = NOBODY, to: Sequence[str] = ()) -> Reply:
    """The letter as a PDF of two sheets at most, of the paper that the reader uses."""
    from advisor.pages.pdf import fitted_pdf

    (sheet,) = letter(study, shop, to)
    made = fitted_pdf(sheet, "letter" if study.reader.system == "us" else "a4", 2)
    return Reply(made, kind="application/pdf", saved_as="letter.pdf")


def settled(study: TakeOff) -> tuple[Page, ...]:
    """How settled the answer is, and what it may come to."""
    from advisor.asking.certainty import certainty
    from advisor.asking.next_words import settled_told
    from advisor.asking.outlook import Outlook

    look = Outlook(study.judge, study.facts)
    lines = settled_told(study.advice.opening, look, study.advice.certainty or certainty(look, study.case.doubted))
    return (Page("", (Heading(wording("web.answer.settled"), 1), *as_blocks("\n".join(lines)))),)


def nothing(_: TakeOff) -> tuple[Page, ...]:
    """Nothing but what the template shows."""
    return ()


def as_blocks(told: str, headed: bool = False) -> list[Block]:
    """Lines of text as paragraphs and lists: what is indented further than its list stands below the item before.

    Args:
        told: the lines.
        headed: whether a line of its own, with an indented list beneath, is that list's head.
    """
    blocks: list[Block] = []
    items: list[Item] = []
    at = 0  # of the list, from the left

    def close() -> None:
        if items:
            blocks.append(Listing(tuple(items)))
            items.clear()

    lines = told.splitlines()
    for line, following in zip_longest(lines, lines[1:], fillvalue=""):
        bare = line.strip()
        indent = len(line) - len(line.lstrip())
        if bare.startswith("- ") and items and indent > at:
            items[-1] = Item(items[-1].text, (*items[-1].below, bare[2:]))
        elif bare.startswith("- "):
            at = indent if not items else at
            items.append(Item(bare[2:]))
        else:
            close()
            if bare:
                blocks.append(Heading(bare, 2) if headed and following.startswith("  - ") else Paragraph(bare))
    close()
    return blocks

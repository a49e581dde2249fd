"""The written answer: two pages at most for the customer, in plain words, with what speaks against it in it.

What to do about each danger of the work stands in the plan; here those special to the floor and those that can kill are
told in full, the others by name. Who hires a crew gets no kit list and no steps.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence, Set
from dataclasses import replace

from advisor.answer.apart import Told, drawbacks, nearest, reasons
from advisor.answer.kind_words import please_wait
from advisor.pages.blocks import (
    Block,
    Heading,
    Item,
    Letterhead,
    Lines,
    Listing,
    Notice,
    Page,
    Paragraph,
    Table,
)
from advisor.pages.care_page import care_blocks
from advisor.pages.compare import Column, compared, difficulty_words, film_words, shut_words
from advisor.pages.letter_takes import of_job, takes
from advisor.pages.parts import asked, by_sheet, danger_words, hazard_words, stops
from advisor.pages.pdf import PAPERS, page_count
from advisor.pages.reason_words import nearest_words, of_another, weighed_words
from advisor.pages.shop import NOBODY, Shop
from advisor.pages.short_answer import MOST_NEAREST
from advisor.work.before import First, before
from advisor.work.fit import fitted
from advisor.work.granted import granted
from advisor.work.takeoff import TakeOff, hazards_of
from explanations.reading import measuring
from explanations.wording import label, wording
from explanations.words import first_sentence, sentence, visible

MOST_LINES, MOST_PERHAPS = 117, 129  # on two sheets at 10 points, surely; and where they are set to see
LEFT_OUT = ("details", "packs", "steps", "kit", "usual", "third", "taken")  # what has to go first where room is short
SHEETS, POINTS = 2, 10.0
MOST_REASONS = 4
MOST_AGAINST = 3
MOST_QUESTIONS = 2
MOST_TAKEN = 2  # of what was taken for granted, where room is short
MOST_TURNS = 3
ABREAST = 3


def letter_page(study: TakeOff, rate: float, shop: Shop = NOBODY, to: Sequence[str] = (), care: bool = False) -> Page:
    """The letter for a floor.

    Args:
        study: the floor with its advice, extent and prices.
        rate: real discount rate for the cost over the years, 0.03 for 3 %.
        shop: who writes.
        to: the addressee's lines, the name first.
        care: whether it tells how the floor is kept, on a sheet more.
    """
    study = fitted(study.fully_advised())
    with measuring(study.reading):
        return _page(study, rate, shop, to, care)


def _page(study: TakeOff, rate: float, shop: Shop, to: Sequence[str], care: bool) -> Page:
    mark = study.advice.rule_base
    footer = wording("letter.footer", date=study.advice.date, version=mark.version, mark=mark.fingerprint)
    page = Page(_title(study), (), footer=footer)
    foot = tuple(_foot(study, shop))
    head, left_out = tuple(_head(study, shop, to)), frozenset(LEFT_OUT)
    body = (*head, *_letter(study, rate, left_out), *foot)
    for part in ("", *reversed(LEFT_OUT)):  # with all there is, else with each part that still finds room
        with_it = left_out - {part} if part else frozenset[str]()
        more = (*head, *_letter(study, rate, with_it), *foot)
        if _fits(replace(page, blocks=more)):
            left_out, body = with_it, more
        if not left_out:
            break
    page = replace(page, blocks=body)
    if care:  # beyond the two sheets, for it was asked for
        page = replace(page, blocks=(*body[: -len(foot)], *_kept(study), *foot))
    return page


def _fits(page: Page) -> bool:
    """Whether a letter takes two sheets at 10 points; set to see where lines alone do not tell."""
    lines = page.lines()
    if lines <= MOST_LINES or lines > MOST_PERHAPS:
        return lines <= MOST_LINES
    return all(page_count(page, paper, POINTS) <= SHEETS for paper in PAPERS)


def _kept(study: TakeOff) -> Iterator[Block]:
    """How the floor is kept; nothing where no finish may be had yet."""
    advice = study.advice
    if advice.answer.leading and not (advice.stops or advice.holds):
        yield Heading(wording("care.letter"))
        yield from care_blocks(study, advice.answer.leading)


def _head(study: TakeOff, shop: Shop, to: Sequence[str]) -> Iterator[Block]:
    if shop.name:
        logo = (shop.logo.content, shop.logo.kind) if shop.logo else (b"", "")
        yield Letterhead(shop.name, (*shop.address, *shop.contact), *logo)
    to = [visible(line) for line in to]
    if to:
        yield Lines(tuple(to))
    yield Lines((wording("letter.date", day=study.today),))
    yield Heading(_title(study), 1)
    yield Paragraph(wording("letter.greeting", name=to[0]) if to else wording("letter.greeting_nobody"))


def _title(study: TakeOff) -> str:
    floor = study.case.floor
    return wording("letter.title", floor=floor) if floor else wording("letter.title_unnamed")


def _foot(study: TakeOff, shop: Shop) -> Iterator[Block]:
    yield Paragraph(study.advice.deference)
    if safety := study.advice.rule_base.safety:
        yield Paragraph(" ".join(safety))
    yield Lines((wording("letter.closing"), "", *(shop.signature or ((shop.name,) if shop.name else ()))))


def _letter(study: TakeOff, rate: float, left_out: Set[str]) -> Iterator[Block]:
    advice = study.advice
    first = stops(study, "letter.stop", asks=advice.answer.kind != "ask first")
    yield from (*first, *asked(study)) if advice.stops else (*asked(study), *first)
    yield Heading(wording("letter.advise"))
    calls = len(advice.stops)
    yield Paragraph(wording("letter.calls", n=calls) if calls > 1 else advice.opening, strong=True)
    leading = advice.answer.leading
    if leading is None or advice.stops or advice.holds:
        if not (advice.stops or advice.holds) and (near := nearest(advice, MOST_NEAREST)):
            yield Paragraph(wording("letter.nearest"))
            yield Listing(tuple(nearest_words(each) for each in near))
        until = "call" if advice.stops else "done" if advice.holds else "changed"
        until = "answered" if advice.answer.kind == "ask first" else until
        yield Paragraph(f"{wording('letter.wait')} {wording('letter.come_back', until=until)}")
        yield from _unknown(study)
        if told := tuple(hazard_words(each) for each in advice.hazards if each.floor):
            yield Notice(wording("page.hazards"), told)
        yield from _ask_others(study, short="taken" in left_out)
        return
    yield Paragraph(study.base.finishes[leading].what)
    yield from by_sheet(study, leading)
    yield from _for_and_against(study, leading)
    yield from _first(study, leading, left_out)
    if advice.answer.kind == "test first":
        yield Paragraph(please_wait(advice.answer.waits_for), strong=True)
    columns = compared(study, _shown(study)[: 2 if "third" in left_out else 3], rate)
    yield from takes(study, columns[0], rate, left_out)
    yield from _side_by_side(study, columns)
    yield from _hazards(study, leading, left_out)
    short = "taken" in left_out
    yield from _unknown(study, granted(study.job(leading)), short)
    yield from _ask_others(study, short)


def _ask_others(study: TakeOff, short: bool = False) -> Iterator[Block]:
    """Whom to ask besides, where nobody comes before the finish."""
    if study.advice.referrals and not study.advice.stops:
        named = (
            sentence(each.who) if short else wording("letter.ask_one", who=each.who, tell=first_sentence(each.tell))
            for each in study.advice.referrals
        )
        yield Heading(wording("letter.ask"))
        yield Listing(tuple(named))


def _for_and_against(study: TakeOff, leading: str) -> Iterator[Block]:
    if why := reasons(study.advice, MOST_REASONS):
        yield Heading(wording("letter.why"))
        told = [_reason(each, before) for each, before in zip(why, (None, *why), strict=False)]
        yield Listing((*told, *weighed_words(study.advice)))
    if against := drawbacks(study.standing(leading), MOST_AGAINST):
        yield Heading(wording("letter.against"))
        yield Listing(tuple(each.because for each in against))


def _reason(told: Told, before: Told | None) -> str:
    return of_another(told, before) or (wording("letter.shared", why=told.because) if told.shared else told.because)


def _first(study: TakeOff, leading: str, left_out: Set[str]) -> Iterator[Block]:
    """What comes first, in the order of every page; of what decides, why."""
    if steps := before(study, leading).steps:
        yield Heading(wording("letter.first"))
        short = "details" in left_out
        yield Listing(tuple(_first_words(each) if short else each.words for each in steps), numbered=True)


def _first_words(first: First) -> str:
    """What to do in one sentence, and of what decides why."""
    why = f"{first_sentence(first.why)}." if first.opens and first.why else ""
    return " ".join(filter(None, (f"{first_sentence(first.says)}.", why, first.days)))


def _shown(study: TakeOff) -> list[str]:
    """The leading finish, the one to fall back on, and the next best."""
    answer = study.advice.answer
    left = [each.finish for each in study.advice.standings if each.verdict != "ruled out"]
    first = dict.fromkeys((answer.leading, answer.fallback, answer.runner_up, *left))
    return [each for each in first if each][:ABREAST]


def _side_by_side(study: TakeOff, columns: Sequence[Column]) -> Iterator[Block]:
    reader = study.reader

    def choice(column: Column, name: str) -> str:
        return label("value", column.finish.properties[name].choices[0])

    def row(name: str, cells: Iterator[str], **more: object) -> tuple[str, ...]:
        return (wording(f"compare.row.{name}", **more), *cells)

    rows = [
        row("own", (of_job(study, each.figures.own) for each in columns)),
        row("hired", (of_job(study, each.figures.hired) for each in columns)),
        row("years", (reader.money(*each.figures.life[20]) for each in columns), n=20),
        row("hard", (difficulty_words(each.finish) for each in columns)),
        row("shut", (shut_words(study, each) for each in columns), place=columns[0].place),
        row("vapour", (film_words(each.finish) for each in columns)),
        row("grip", (choice(each, "wet_grip") for each in columns)),
        row("upkeep", (choice(each, "upkeep") for each in columns)),
    ]
    yield Heading(wording("letter.side_by_side" if columns[1:] else "letter.side_alone"))
    yield Table(("", *(each.finish.name for each in columns)), tuple(rows), frozenset(), (2, *[3] * len(columns)))
    advice = study.advice
    second = advice.standing(advice.answer.runner_up)
    if second and second.finish not in {each.finish.id for each in columns}:  # for want of room
        gap = study.standing(columns[0].finish.id).total - second.total
        yield Paragraph(wording("briefly.next", finish=second.name, gap=gap))
    if out := sum(each.verdict == "ruled out" for each in advice.standings):
        yield Paragraph(wording("letter.not_these", n=out))


def _hazards(study: TakeOff, leading: str, left_out: Set[str]) -> Iterator[Block]:
    """Those special to the floor in full, and where there is room all that can kill; the others by name."""
    dangers, usual = hazards_of(study, leading), usual_hazards(study)
    room = "usual" not in left_out and not study.hired
    full = [each for each in dangers if each.name not in usual or (room and each.severity == "danger")]
    items: tuple[str | Item, ...] = tuple(hazard_words(each) for each in full)
    if rest := [each for each in dangers if each not in full]:
        items += (danger_words(rest), wording("letter.hazards_told"))
    yield Notice(wording("page.hazards_of_work"), items)


def usual_hazards(study: TakeOff) -> set[str]:
    """The cautions that come with the work as such, or of which nobody can say whether they are there."""
    told = {each.caution for each in study.advice.hazards}
    return {each.caution for each in study.advice.hazards if not each.in_full} | {
        name for name, each in study.base.cautions.items() if each.usual and name not in told
    }


def _unknown(study: TakeOff, taken: Sequence[str] = (), short: bool = False) -> Iterator[Block]:
    """How settled it is, what was taken for granted, and what to find out."""
    advice = study.advice
    certainty = advice.certainty
    assert certainty is not None
    yield Heading(wording("letter.unknown"))
    yield Paragraph(certainty.says)
    told = taken[:MOST_TAKEN] if short else taken
    more = [wording("letter.taken_too", n=len(taken) - len(told))] if told != taken else []
    if items := (*(turning.says for turning in certainty.turns[:MOST_TURNS]), *told, *more):
        yield Listing(items)
    if some := advice.ask_next[:MOST_QUESTIONS]:
        yield Paragraph(wording("letter.tell_us"))
        yield Listing(tuple(wording("letter.question", ask=each.ask, why=sentence(each.why)) for each in some))

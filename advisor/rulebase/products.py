"""A finish by a maker's data sheet: a copy of a shipped finish with the sheet's numbers, beside the shipped one.

A sheet changes only what its own finish is and how its coat is worked: never a rule, a caution, a step or what is worn.
"""

from __future__ import annotations

import hashlib
import re
import unicodedata
from collections.abc import Iterator, Sequence
from typing import TypeAlias

from advisor.errors import BadFile
from advisor.model.finishes import Finish, MakersNumber, Product, PropertyValue, SheetEntry
from advisor.model.knowledge import RuleBase, Source
from advisor.model.procedures import PotLife
from advisor.model.quantities import show, show_both, show_number
from advisor.physics.bounds import Interval
from advisor.physics.mixing import COLDEST_C, HOTTEST_C, pot_life
from advisor.rulebase.data_sheets import DataSheet, Said, read_sheet
from advisor.rulebase.product_work import Work
from advisor.rulebase.rule_values import values_from_finishes
from advisor.sent import File
from explanations.wording import label, listed, wording

MOST_FINISHES = 64  # as many as a rank has room for
WORKABLE = Interval(0.5, 1000.0)  # min; what a pot life may come to at any temperature at which the finish may go on
Ends: TypeAlias = tuple[float, float]  # by how much the low and the high end of an interval move


def with_products(base: RuleBase, files: Sequence[File]) -> RuleBase:
    """The rule base with one more finish for each data sheet, placed before the one that it is like.

    Raises:
        BadFile: with every fault found: of a file, or of what does not go with the finish.
    """
    for each in files:
        base = _with_product(base, read_sheet(each, base))
    return base


def _with_product(base: RuleBase, sheet: DataSheet) -> RuleBase:
    name = unicodedata.normalize("NFKD", sheet.product).encode("ascii", "ignore").decode().lower()
    variant = f"{sheet.like}_by_{re.sub(r'[^a-z0-9]+', '_', name).strip('_') or 'sheet'}"
    source = f"sheet_{variant}"
    work = Work(base, sheet, variant, source)
    finish = _finish(base, sheet, work)
    procedure, tasks = work.procedure()
    faults = [*work.faults]
    if len(base.finishes) >= MOST_FINISHES:
        what = wording("product.too_many", n=len(base.finishes) + 1)
        faults.append(sheet.fault("product", what, wording("product.at_most", most=MOST_FINISHES)))
    if variant in base.finishes:
        faults.append(sheet.fault("product", wording("product.same_name", name=sheet.product)))
    lowest, highest = (finish.properties[f"{end}_temperature"].interval for end in ("lowest", "highest"))
    if crossed := bool(lowest and highest and lowest.high >= highest.low):
        faults.append(sheet.fault("lowest_temperature", wording("product.window_order")))
    for task in () if crossed else tasks.values():
        if task.pot_life and (odd := _unworkable(base, finish, task.pot_life)):
            faults.append(sheet.fault("pot_life", odd, show(WORKABLE, "minute")))
    if faults:
        raise BadFile(list(dict.fromkeys(faults)))
    finishes: dict[str, Finish] = {}
    for each in base.finishes.values():  # where both suit alike, the maker's own numbers lead
        finishes |= {variant: finish, each.id: each} if each.id == sheet.like else {each.id: each}
    title = wording("product.source", name=sheet.product, title=sheet.title or "none")
    cited = Source(kind="data_sheet", title=title, edition=sheet.date)
    return base.model_copy(
        update={
            "finishes": finishes,
            "procedures": {**base.procedures, **({variant: procedure} if procedure else {})},
            "tasks": {**base.tasks, **tasks},
            "sources": {**base.sources, source: cited},
            "facts": {**base.facts, **values_from_finishes(base.facts, finishes, {variant: sheet.product})},
            "products": (*base.products, _product(base, sheet, work)),
            "fingerprint": hashlib.sha256(base.fingerprint.encode() + sheet.content).hexdigest()[:16],
        }
    )


def _unworkable(base: RuleBase, finish: Finish, life: PotLife) -> str:
    """What to say of a pot life that nobody could work in, or that would last for days, where the finish may go on."""
    halves = base.norms["pot_life_halves_every"].interval.low
    window = finish.window or Interval(COLDEST_C, HOTTEST_C)
    for warm, stated in ((window.low, life.given.high), (window.high, life.given.low)):
        for at in (life.at.low, life.at.high):
            minutes = float(pot_life(stated * 60.0, at, warm, halves))
            if not WORKABLE.low <= minutes <= WORKABLE.high:
                there = show_both(Interval(warm, warm), "degC")
                return wording("product.unworkable", life=show_number(minutes, 2), at=there)
    return ""


def _finish(base: RuleBase, sheet: DataSheet, work: Work) -> Finish:
    """The finish with the sheet's numbers as its own."""
    like = base.finishes[sheet.like]
    named = {"like": like.name, "name": sheet.product}
    own = {field: _property(base, like, said, work) for field, said in sheet.of("finish")}
    return like.model_copy(
        update={
            "id": work.variant,
            "name": wording("product.finish", **named),
            "what": wording("product.what", what=like.what, name=sheet.product),
            "properties": {**like.properties, **own, **dict(_moved(base, like, sheet, work))},
        }
    )


def _property(base: RuleBase, like: Finish, said: Said, work: Work) -> PropertyValue:
    if interval := said.interval:
        before = like.properties[said.entry.sets.partition(".")[2]].interval
        if said.entry.guards and before:
            interval = Interval(interval.low, max(interval.high, before.high))
        return PropertyValue.model_validate({"is": said.text, "source": work.source, "interval": interval})
    choices: tuple[str, ...] = (said.choice,)
    if said.entry.brings:
        field = said.entry.sets.partition(".")[2]
        choices = _with_other_coats(base, field, like.properties[field].choices, said.choice, work.alone)
    return PropertyValue.model_validate({"is": choices, "source": work.source, "choices": choices})


def _with_other_coats(base: RuleBase, field: str, before: tuple[str, ...], now: str, alone: bool) -> tuple[str, ...]:
    """What the whole finish holds, where the other coats keep what they hold: all of it, or the last, the worst."""
    kind = base.properties[field]
    held = [each for each in kind.choices if each == now or (each in before and not alone)]
    return tuple(held) if kind.type == "choices" else (held[-1],)


def _moved(base: RuleBase, like: Finish, sheet: DataSheet, work: Work) -> Iterator[tuple[str, PropertyValue]]:
    """Properties of the whole finish that change by as much as one coat or one wait does."""
    moving: dict[str, list[SheetEntry]] = {}
    for entry in base.sheet.values():
        for field in entry.moves:
            moving.setdefault(field, []).append(entry)
    for field, entries in moving.items():
        before = like.properties[field].interval
        if before is None or work.made is None or not any(each.sets in sheet.said for each in entries):
            continue
        shift = _thicker(sheet, work) if entries[0].sets.startswith("use.") else _later(entries, work)
        low, high = sorted((max(before.low + shift[0], 0.0), max(before.high + shift[1], 0.0)))
        value = {"is": show_both(Interval(low, high), base.properties[field].unit), "interval": Interval(low, high)}
        yield (
            field,
            PropertyValue.model_validate({**value, "source": wording("product.worked_out", source=work.source)}),
        )


def _thicker(sheet: DataSheet, work: Work) -> Ends:
    """By how much all coats of the product together grow [um]."""
    now = sheet.said["use.dry"].interval
    if work.coat is None or (before := work.coat.use.dry) is None or now is None:
        return 0.0, 0.0
    coats = len(work.coat.steps)
    return coats * (now.low - before.low), coats * (now.high - before.high)


def _later(entries: Sequence[SheetEntry], work: Work) -> Ends:
    """By how many days the last of these uses comes later."""
    assert work.made
    before = [getattr(work.made.ready, each.sets.partition(".")[2]) for each in entries]
    now = [work.ready(each) for each in entries]
    low = max(each.low for each in now) - max(each.low for each in before)
    high = max(each.high for each in now) - max(each.high for each in before)
    return low / 24.0, high / 24.0


def _product(base: RuleBase, sheet: DataSheet, work: Work) -> Product:
    """What the sheet says beside the defaults."""
    numbers = tuple(
        MakersNumber(
            entry=said.name,
            property=sets.removeprefix("finish.") if sets.startswith("finish.") else "",
            given=label("value", said.choice) if said.choice else _shown(said.entry, said.interval, said.at),
            default=_default(base, sheet, work, said.entry),
        )
        for sets, said in sheet.said.items()
    )
    return Product(
        finish=work.variant,
        like=sheet.like,
        name=sheet.product,
        source=work.source,
        numbers=numbers,
        without=tuple(name for said in sheet.said.values() for name in said.entry.instead_of),
    )


def _default(base: RuleBase, sheet: DataSheet, work: Work, entry: SheetEntry) -> str:
    """What is taken where the maker names nothing."""
    where, _, field = entry.sets.partition(".")
    if where == "finish":
        value = base.finishes[sheet.like].properties[field]
        if entry.type != "number":
            return listed(label("value", each) for each in value.choices)
        return _shown(entry, value.interval, None)
    if where == "procedure":
        return label("value", work.made.profile) if work.made else wording("product.no_default")
    return _shown(entry, *work.default(entry))


def _shown(entry: SheetEntry, interval: Interval | None, at: Interval | None) -> str:
    if interval is None:
        return wording("product.no_default")
    text = show_both(interval, entry.unit)
    return wording("product.at", value=text, at=show_both(at, "degC")) if at else text

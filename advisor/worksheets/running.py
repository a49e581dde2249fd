"""Finding, explaining and running a worksheet, as text or as data."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from textwrap import fill
from typing import TYPE_CHECKING, Literal

from pydantic import Field

from advisor.errors import BadCase, Fault, nearest
from advisor.model.advice import Published
from advisor.physics.validity import OutsideValidity
from advisor.worksheets import air, drying, film, floor_tests, room_air, vapour  # noqa: F401  (they register)
from advisor.worksheets.sheet import SHEETS, Result, Sheet, Step

if TYPE_CHECKING:
    from advisor.model.knowledge import RuleBase

WIDTH = 79


class Worked(Published):
    """A worksheet worked through, as data."""

    format: Literal["slab-finish-work/1"] = "slab-finish-work/1"
    worksheet: str
    title: str
    inputs: dict[str, str | None] = Field(description="As stated, or as taken; none where one was left out.")
    steps: tuple[Step, ...]
    conclusion: tuple[str, ...]
    source: str
    leaves_out: str


def find_sheet(name: str) -> Sheet:
    """A worksheet by its name.

    Raises:
        BadCase: there is none of that name.
    """
    if name not in SHEETS:
        raise BadCase(
            [Fault("advisor work", f'there is no worksheet "{name}"', ", ".join(SHEETS), nearest(name, SHEETS))]
        )
    return SHEETS[name]


def list_sheets() -> str:
    """All worksheets, a line each."""
    longest = max(map(len, SHEETS))
    lines = [f"{sheet.name:<{longest}}  {sheet.title}" for sheet in SHEETS.values()]
    return "\n".join([*lines, "", "advisor work NAME shows what a worksheet asks for."])


def explain_sheet(sheet: Sheet) -> str:
    """What a worksheet asks for, its source, and what it leaves out."""
    lines = [sheet.title, "", "Inputs, as NAME=VALUE:"]
    for each in sheet.inputs:
        default = f" If left out: {each.default}." if each.default is not None else ""
        ask = each.ask if each.ask.endswith("?") else f"{each.ask}."
        lines.append(_wrapped(f"{each.name}: {ask} Allowed: {each.allowed}.{default}", 2))
    lines += _about(sheet)
    if sheet.picture:
        lines.append(_wrapped(f"--picture FILE draws {sheet.picture}.", 0))
    return "\n".join(lines)


def run_sheet(
    sheet: Sheet, inputs: Iterable[str], picture: Path | None, as_json: bool, rule_base: Callable[[], RuleBase]
) -> str:
    """Work a sheet, and write its picture if asked.

    Args:
        sheet: the worksheet.
        inputs: NAME=VALUE each.
        picture: where to draw its picture.
        as_json: whether to give data instead of text.
        rule_base: loads the rule base, called only by sheets that need its data.

    Raises:
        BadCase: inputs that are unknown, missing, in other units or out of range, or a picture that it does not have.
        CannotWrite: the picture cannot be put there.
    """
    if picture and not sheet.picture:
        with_one = ", ".join(each.name for each in SHEETS.values() if each.picture)
        raise BadCase([Fault("advisor work", f"{sheet.name} has no picture", f"those that have: {with_one}")])
    if picture:
        from advisor.charts.plots import check_plot

        check_plot(picture)
    stated = _stated(sheet, inputs)
    given = sheet.read(stated, rule_base)
    try:
        result = sheet.work(given)
    except OutsideValidity as error:
        raise BadCase([Fault(sheet.name, str(error))]) from None
    if picture:
        from advisor.charts.floor import draw_plot

        draw_plot(result.picture, picture)
    return _record(sheet, stated, result).model_dump_json(indent=2) if as_json else _as_text(sheet, stated, result)


def _stated(sheet: Sheet, inputs: Iterable[str]) -> dict[str, str]:
    stated: dict[str, str] = {}
    faults = []
    for text in inputs:
        name, found, value = text.partition("=")
        if not found:
            faults.append(Fault(sheet.name, f'"{text}" is not NAME=VALUE', 'such as air_temperature="20 C"'))
        elif name in stated:
            faults.append(Fault(sheet.name, f'"{name}" is given twice', "each input once"))
        stated[name.strip()] = value.strip()
    if faults:
        raise BadCase(faults)
    return stated


def _as_text(sheet: Sheet, stated: Mapping[str, str], result: Result) -> str:
    lines = [sheet.title, "", "Given"]
    for each in sheet.inputs:
        value = stated.get(each.name, each.default)
        if value is not None:
            taken = "" if each.name in stated else "  (taken)"
            lines.append(f"  {each.name}: {value}{taken}")
    lines += ["", "Steps"] if result.steps else []
    for step in result.steps:
        lines.append(_wrapped(f"{step.what} = {step.value}    [{step.formula}]", 2))
    lines += ["", "Result", *(_wrapped(sentence, 2) for sentence in result.conclusion)]
    return "\n".join(lines + _about(sheet))


def _about(sheet: Sheet) -> list[str]:
    lines = ["", _wrapped(f"Source: {sheet.source}.", 0)]
    if sheet.leaves_out:
        lines.append(_wrapped(f"Leaves out: {sheet.leaves_out}.", 0))
    lines.append(_wrapped("Local codes, data sheets and licensed practice come before this sheet.", 0))
    return lines


def _record(sheet: Sheet, stated: Mapping[str, str], result: Result) -> Worked:
    return Worked(
        worksheet=sheet.name,
        title=sheet.title,
        inputs={each.name: stated.get(each.name, each.default) for each in sheet.inputs},
        steps=result.steps,
        conclusion=result.conclusion,
        source=sheet.source,
        leaves_out=sheet.leaves_out,
    )


def _wrapped(text: str, indent: int) -> str:
    return fill(text, WIDTH, initial_indent=" " * indent, subsequent_indent=" " * (indent + 4))

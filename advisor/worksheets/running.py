"""Finding, explaining and running a worksheet, as text or as data."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from pydantic import Field

from advisor.errors import BadCase, Fault, nearest, refusal
from advisor.model.published import Published
from advisor.physics.validity import OutsideValidity
from advisor.worksheets import air, drying, film, floor_tests, room_air, trade, vapour  # noqa: F401  (they register)
from advisor.worksheets.sheet import SHEETS, Given, Result, Sheet, Step
from explanations.reading import Reading, measuring, system_of
from explanations.wording import wording
from explanations.words import wrapped

if TYPE_CHECKING:
    from advisor.model.knowledge import RuleBase

LEAD, INNER, HANG = "  ", "      ", "    "  # of a line within a part, its further lines, and those of other lines


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
        what = wording("worksheets.no_sheet", name=name)
        raise BadCase([Fault("advisor work", what, ", ".join(SHEETS), nearest(name, SHEETS))])
    return SHEETS[name]


def list_sheets() -> str:
    """All worksheets, a line each."""
    longest = max(map(len, SHEETS))
    lines = [f"{sheet.name:<{longest}}  {sheet.title}" for sheet in SHEETS.values()]
    return "\n".join([*lines, "", wording("worksheets.work_name")])


def explain_sheet(sheet: Sheet, base: RuleBase) -> str:
    """What a worksheet asks for, its source, and what it leaves out."""
    lines, blanks = [sheet.title, "", wording("worksheets.inputs")], sheet.blanks(base)
    for each in sheet.inputs:
        said = {"name": each.name, "ask": wording(each.ask, **blanks), "allowed": each.allowed}
        taken = each.when_left_out(base)
        text = wording("worksheets.input" if taken is None else "worksheets.input_taken", **said, taken=taken)
        lines.append(wrapped(text, LEAD, INNER))
    lines += _about(sheet, blanks)
    if sheet.pictured:
        lines.append(wrapped(wording("worksheets.draws", picture=wording(f"{sheet.key}.picture")), hang=HANG))
    return "\n".join(lines)


def run_sheet(sheet: Sheet, inputs: Iterable[str], picture: Path | None, as_json: bool, base: RuleBase) -> str:
    """Work a sheet, and write its picture if asked.

    Args:
        sheet: the worksheet.
        inputs: NAME=VALUE each.
        picture: where to draw its picture.
        as_json: whether to give data instead of text.
        base: the rule base, whose figures and sources the sheet names.

    Raises:
        BadCase: inputs that are unknown, missing, in other units or out of range, or a picture that it does not have.
        CannotWrite: the picture cannot be put there.
    """
    if picture and not sheet.pictured:
        with_one = ", ".join(each.name for each in SHEETS.values() if each.pictured)
        what, allowed = (
            wording("worksheets.no_picture", name=sheet.name),
            wording("worksheets.pictured", names=with_one),
        )
        raise BadCase([Fault("advisor work", what, allowed)])
    if picture:
        from advisor.charts.plots import check_plot

        check_plot(picture)
    stated = _stated(sheet, inputs)
    given = sheet.read(stated, base)
    with measuring(Reading(system) if (system := system_of(stated.values())) else None):
        return _worked(sheet, stated, given, picture, as_json, base)


def _worked(
    sheet: Sheet, stated: Mapping[str, str], given: Given, picture: Path | None, as_json: bool, base: RuleBase
) -> str:
    result = _result(sheet, given)
    if picture:
        from advisor.charts.floor import draw_plot

        draw_plot(result.picture, picture)
    if as_json:
        return _record(sheet, stated, result, base).model_dump_json(indent=2)
    return _as_text(sheet, stated, result, base)


def _result(sheet: Sheet, given: Given) -> Result:
    try:
        return sheet.work(given)
    except OutsideValidity as error:
        raise BadCase([Fault(sheet.name, refusal(*error.args))]) from None


def worked(sheet: Sheet, stated: Mapping[str, str], base: RuleBase) -> Worked:
    """A sheet worked, as data.

    Args:
        sheet: the worksheet.
        stated: its inputs, each as typed.
        base: the rule base, whose figures and sources the sheet names.

    Raises:
        BadCase: inputs that are unknown, missing, in other units or out of range.
    """
    given = sheet.read(stated, base)
    with measuring(Reading(system) if (system := system_of(stated.values())) else None):
        return _record(sheet, stated, _result(sheet, given), base)


def _stated(sheet: Sheet, inputs: Iterable[str]) -> dict[str, str]:
    stated: dict[str, str] = {}
    faults = []
    for text in inputs:
        name, found, value = text.partition("=")
        if not found:
            what = wording("worksheets.not_name_value", text=text)
            faults.append(Fault(sheet.name, what, wording("worksheets.such_as")))
        elif name in stated:
            what = wording("worksheets.given_twice", name=name)
            faults.append(Fault(sheet.name, what, wording("worksheets.each_once")))
        stated[name.strip()] = value.strip()
    if faults:
        raise BadCase(faults)
    return stated


def _as_text(sheet: Sheet, stated: Mapping[str, str], result: Result, base: RuleBase) -> str:
    lines = [sheet.title, "", wording("worksheets.given")]
    for each in sheet.inputs:
        if (value := stated.get(each.name)) is not None:
            lines.append(LEAD + wording("worksheets.stated", name=each.name, value=value))
        elif (value := each.when_left_out(base)) is not None:
            lines.append(LEAD + wording("worksheets.taken", name=each.name, value=value))
    lines += ["", wording("worksheets.steps")] if result.steps else []
    for step in result.steps:
        text = wording("worksheets.step", what=step.what, value=step.value, formula=step.formula)
        lines.append(wrapped(text, LEAD, INNER))
    lines += ["", wording("worksheets.result"), *(wrapped(sentence, LEAD, INNER) for sentence in result.conclusion)]
    return "\n".join(lines + _about(sheet, sheet.blanks(base)))


def _about(sheet: Sheet, blanks: Mapping[str, str]) -> list[str]:
    source, left_out = (wording(f"{sheet.key}.{each}", **blanks) for each in ("source", "leaves_out"))
    texts = (
        wording("worksheets.source", source=source),
        wording("worksheets.leaves_out", what=left_out),
        wording("worksheets.defers"),
    )
    return ["", *(wrapped(text, hang=HANG) for text in texts)]


def _record(sheet: Sheet, stated: Mapping[str, str], result: Result, base: RuleBase) -> Worked:
    blanks = sheet.blanks(base)
    return Worked(
        worksheet=sheet.name,
        title=sheet.title,
        inputs={each.name: stated.get(each.name, each.when_left_out(base)) for each in sheet.inputs},
        steps=result.steps,
        conclusion=result.conclusion,
        source=wording(f"{sheet.key}.source", **blanks),
        leaves_out=wording(f"{sheet.key}.leaves_out", **blanks),
    )

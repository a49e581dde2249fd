"""The rule base: the shipped files under `rules/`, with a shop's own folders laid over them, read and checked.

All faults are collected and raised together, each with file and line: `rule_files` finds those of form, `checks`
those of meaning, `overlay` what would take a safeguard away.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from advisor.errors import BadRuleBase, Fault
from advisor.model.grounding import laid_over
from advisor.model.knowledge import RuleBase
from advisor.model.years import in_year
from advisor.rulebase.additions import with_additions
from advisor.validation.cache import keep_rulebase, kept_rulebase, signature
from explanations.wording import wording

if TYPE_CHECKING:
    from advisor.rulebase.rule_files import RuleFiles


def rules_folder() -> Path:
    """The shipped rule base: inside an installed package, else beside it in the checkout."""
    package = Path(__file__).parent.parent
    inside = package / "rules"
    return inside if inside.is_dir() else package.parent / "rules"


# By the contents of the folders, so that an edited folder is read anew.
_ready: dict[str, RuleBase] = {}
_ready_laid_over: dict[str, RuleBase] = {}  # with overlays: some 10 MB each, so only the last few read
MOST_LAID_OVER = 4
_lowest: dict[str, tuple[RuleFiles, RuleBase]] = {}  # the shipped files as read, for folders to be laid over


def load_rulebase(
    *overlays: Path,
    products: Sequence[Path] = (),
    year: int | None = None,
    proved: bool = True,
    proving: Callable[[], None] = lambda: None,
) -> RuleBase:
    """The shipped rule base with these folders laid over it, in this order; read once for the same contents.

    What is laid over is held against the claims about every floor; for the shipped rules the tests do that.

    Args:
        overlays: folders laid over it.
        products: makers' data sheets; each makes one finish more.
        year: to which ages are counted; the rule base's own if not given.
        proved: whether an overlay is held against the claims; only what shows the proof itself goes without.
        proving: called before a proof, which may take a minute; what passed is kept, on disk too.

    Raises:
        BadRuleBase: with every fault found, each with file and line, or with a floor that breaks a claim.
        BadFile: a data sheet is not what it must be.
    """
    base = _ready_rulebase(overlays, year, proved, proving)
    if products:
        from advisor.rulebase.products import with_products

        base = with_products(base, products)
    return base


def _ready_rulebase(
    overlays: tuple[Path, ...], year: int | None, proved: bool, proving: Callable[[], None]
) -> RuleBase:
    folders = (rules_folder(), *(Path(os.path.realpath(folder)) for folder in overlays))
    if overlays and not proved:
        return in_year(read_rulebase(*folders), year)
    name = signature(folders)
    base = _proved(folders, name, proving) if year is None else _counted(folders, name, year, proving)
    for oldest in list(_ready_laid_over)[:-MOST_LAID_OVER]:
        _ready_laid_over.pop(oldest, None)
    return base


def _counted(folders: tuple[Path, ...], name: str, year: int, proving: Callable[[], None]) -> RuleBase:
    """The rule base with ages counted to a year: kept too where it is not the files' own, whose grounding differs."""
    ready, counted = _shelf(folders), f"{name}-{year}"
    if (base := ready.get(name)) and in_year(base, year) is base:
        return base
    base = ready.get(counted) or kept_rulebase(folders, counted)
    if base is None:
        written = _proved(folders, name, proving)
        base = in_year(written, year)
        if base is written:
            return written
        keep_rulebase(folders, base, counted)
    ready[counted] = base
    return base


def _shelf(folders: tuple[Path, ...]) -> dict[str, RuleBase]:
    return _ready_laid_over if len(folders) > 1 else _ready


def _proved(folders: tuple[Path, ...], name: str, proving: Callable[[], None]) -> RuleBase:
    """The rule base as written, held against the claims where a folder is laid over it."""
    ready = _shelf(folders)
    base = ready.get(name)
    if base is None:
        base = kept_rulebase(folders, name)
        if base is None:
            base = _as_written(*folders)
            if len(folders) > 1:
                from advisor.validation.audit import refuse_broken  # z3, only where something must be proved

                proving()
                refuse_broken(base, load_rulebase())
            base = with_additions(base)
            keep_rulebase(folders, base, name)
        ready[name] = base
    return base


def read_rulebase(shipped: Path, *overlays: Path) -> RuleBase:
    """Read, check and return a rule base.

    Args:
        shipped: the folder at the bottom.
        overlays: folders laid over it. An entry with a new id is added, one with a known id replaces it. What
            protects people may be added to, never taken away.

    Raises:
        BadRuleBase: with every fault of the lowest folder that has any.
    """
    return with_additions(_as_written(shipped, *overlays))


def read_whole_or_over(below: Path, folder: Path) -> RuleBase:
    """The rule base of a folder that holds a whole one; of one with some entries, that with it laid over another.

    What is laid over is not held against the claims: a difference is what is asked for.

    Args:
        below: the folder of the other one.
        folder: which of the two it is.

    Raises:
        BadRuleBase: with every fault.
    """
    from advisor.rulebase.rule_files import RuleFiles

    files = RuleFiles()
    base = files.read(folder)
    over = _lacking(base, files.left_out) and (any(files.sections.values()) or any(files.left_out.values()))
    return read_rulebase(below, folder) if over else read_rulebase(folder)


def _as_written(shipped: Path, *overlays: Path) -> RuleBase:
    """The rule base as its files have it: what is added to words stands apart from them."""
    from advisor.rulebase.rule_files import RuleFiles

    if not overlays:
        return _laid_over(RuleFiles(), None, shipped)
    name = signature((shipped,))
    if name not in _lowest:
        _lowest.clear()  # one is enough: folder after folder is laid over the same
        files = RuleFiles()
        _lowest[name] = files, _laid_over(files, None, shipped)
    files, base = _lowest[name]
    files = files.copy()
    for folder in overlays:
        base = _laid_over(files, base, folder)
    return base


def _laid_over(files: RuleFiles, below: RuleBase | None, folder: Path) -> RuleBase:
    """The rule base with the files of a folder laid over those read before, checked.

    Raises:
        BadRuleBase: with every fault.
    """
    from advisor.rulebase.folders import rule_paths
    from advisor.validation.checks import check  # only when the files must be read: a kept rule base needs none of it
    from advisor.validation.overlay import weakened
    from advisor.validation.overlay_words import safety_words

    base = files.read(folder)
    lacking = _lacking(base, files.left_out) if below is None and rule_paths(folder) else ""
    if lacking:  # before all else: in a folder of other things every line would be a fault
        what = wording("folders.no_base", what=lacking)
        remedy = wording("folders.laid_over")
        raise BadRuleBase([Fault(str(folder), what, wording("folders.like_shipped"), remedy)])
    if below is not None:
        laid_over(below, base)
    faults = files.faults + check(base, files.where, files.left_out, below)
    if below is not None and not faults:
        faults += weakened(below, base, files.where)
        files.note_safety(safety_words(below, base) if not faults else ())
        checked = base
        base = checked.model_copy(update={"overlays": tuple(files.overlays)})
        laid_over(checked, base)
    if faults:
        raise BadRuleBase(faults if below is None else [_brought(each, folder) for each in faults])
    return base


def _lacking(base: RuleBase, left_out: Mapping[str, set[str]]) -> str:
    """What of a rule base that stands by itself is missing, not only malformed; empty if nothing is."""
    needed = {"facts": "vocabulary", "finishes": "finish", "rules": "rule"}
    return next((what for name, what in needed.items() if not (getattr(base, name) or left_out.get(name))), "")


def _brought(fault: Fault, overlay: Path) -> Fault:
    """A fault at an entry beneath an overlay names the overlay, which must have caused it."""
    if fault.where.startswith(overlay.name):
        return fault
    return replace(fault, remedy=wording("folders.brought", remedy=fault.remedy, overlay=overlay.name).strip())

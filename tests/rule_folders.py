"""Small rule bases in temporary folders, sound until a test breaks them."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from advisor.engines.reasoning import Reasoner
from advisor.errors import BadRuleBase, Fault
from advisor.model.knowledge import RuleBase
from advisor.validation.cache import keep_rulebase
from advisor.validation.loading import load_rulebase, read_rulebase, rules_folder

MARK = "#!"  # stands at the end of the line that a fault should name

BASE = """\
about: {version: "1"}
sources:
  handbook: {kind: handbook, title: A handbook}
  law: {kind: regulation, title: A law}
facts:
  room: {type: choice, values: [kitchen, garage, hall], ask: Which room is it, find_out: Look, why: Use}
  wetness: {type: number, unit: percent, range: 0 to 100 percent, ask: How wet is it, find_out: Test, why: Films}
  thickness: {type: number, unit: mm, range: 0 to 900 mm, ask: How thick is it, find_out: Measure, why: Drying}
  leak: {type: yes/no, ask: Does it leak, find_out: Look, why: Water}
  care: {type: choice, values: [low, high], ask: How much does cost matter, find_out: Ask, why: Weight}
  budget: {type: number, unit: usd, range: 0 to 90000 usd, ask: What may it cost, find_out: Ask, why: Money}
  area: {type: number, unit: m2, range: 1 to 900 m2, ask: How large is it, find_out: Measure, why: Money}
  budget_per_area: {type: number, unit: usd_m2, range: 0 to 90000 usd_m2, means: budget by area, why: Money,
                    computed: {by: budget_per_area, from: [budget, area], method: budget by area, source: handbook}}
properties:
  film: {type: choice, values: [dense, open], means: whether it closes the floor}
  looks: {type: choices, values: [plain, flecked], means: what it can look like}
  most_wetness: {type: number, unit: percent, unlimited: yes, means: the wettest floor it stands}
limits:
  wet: {is: 75 percent, means: where wet begins, source: handbook}
  thick: {is: 4 in, means: where thick begins, source: handbook}
  deep: {is: 9 in, means: where deep begins, source: handbook}
findings:
  damp: {says: the floor is damp}
  blistering: {says: the finish would blister, of: finish}
needs:
  test_first: {kind: test, decides: yes, says: Test it., source: handbook}
cautions:
  fumes: {severity: warning, step: mixing, says: The fumes are harmful., source: law}
referrals:
  plumber: {who: a licensed plumber, stop: yes, tell: Say where it drips., source: law}
criteria:
  cost: {name: low cost, importance: care}
importance: {low: 1, high: 2}
contradictions:
  dry_leak: {when: {leak: yes, wetness: below limit.wet}, says: It leaks and is dry}
  small_hall: {when: {room: hall, thickness: above limit.deep}, says: Halls are thin, test: Drill, caution: fumes}
rules:
  - id: damp.wet
    when: {wetness: above limit.wet}
    then: {finding: damp}
    because: "It holds {wetness}, over {limit.wet}."
    source: handbook
  - id: damp.film
    judges: {film: dense}
    when: {damp: holds, room: not hall}
    then: {rule_out: yes, caution: fumes}
    because: "{finish} blisters on a damp floor."
    source: [handbook, "law, section 3"]
  - id: stop.leak
    when: {leak: yes}
    then: {refer: plumber, hold: test_first}
    because: "It leaks."
    source: law
"""
PAINT = """\
finish: {id: paint, name: floor paint, family: paint, what: a coat of paint, order: 1}
properties:
  film: {is: dense, source: handbook}
  looks: {is: plain, source: handbook}
  most_wetness: {is: 75 percent, source: handbook}
"""
VARNISH = PAINT.replace("id: paint, name: floor paint", "id: varnish, name: floor varnish")
OIL = """\
finish: {id: oil, name: floor oil, family: oil, what: an oil that soaks in, order: 2}
properties:
  film: {is: open, source: handbook}
  looks: {is: [plain, flecked], source: handbook}
  most_wetness: {is: none, source: handbook}
"""

WORK = """\
norms: {fills_csp_1: {is: 0 mm, unit: mm, means: nothing to fill, source: handbook}}
tasks:
  paint_it:
    kind: application
    title: Paint it
    says: Roll it out evenly.
    setup: 1 h
    demands: {}
    hard: Nothing is.
    mistake: Roller marks stay.
    undo: yes
    cautions: [fumes]
    source: handbook
procedures:
  painting:
    for: [NAMES]
    what: one coat of paint
    profile: csp_1
    source: handbook
    steps: [{do: paint_it}]
    ready: {at: 20 degC, slows: 2 ratio, walked_on: 1 h, furniture: 1 h, vehicles: 1 h, washed: 1 h, source: handbook}
"""


def write(folder: Path, files: dict[str, str]) -> Path:
    """Write files into a folder, made if need be."""
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return folder


def sound(folder: Path) -> Path:
    """A sound rule base of three finishes and three rules."""
    finishes = {"finishes/paint.yaml": PAINT, "finishes/varnish.yaml": VARNISH, "finishes/oil.yaml": OIL}
    return write(folder, {"base.yaml": BASE, **finishes})


@cache
def shipped_files() -> tuple[dict[str, Any], ...]:
    """Every shipped file as written, every scalar a text; not to be changed in place."""
    loader = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
    return tuple(yaml.load(path.read_text(encoding="utf-8"), loader) for path in sorted(rules_folder().rglob("*.yaml")))


def finish_entry(base: RuleBase, finish_id: str) -> dict[str, Any]:
    """A finish as its file has it."""
    finish = base.finishes[finish_id]
    head = finish.model_dump(include={"id", "name", "family", "what", "order"})
    values = {
        name: {"is": list(v.given) if isinstance(v.given, tuple) else v.given, "source": list(v.source)}
        for name, v in finish.properties.items()
    }
    return {"finish": {**head, "order": str(head["order"])}, "properties": values}


def of_three_weights(folder: Path, more: str) -> Reasoner:
    """The sound rule base, with a third importance between the two and more entries beside it."""
    text = BASE.replace("[low, high]", "[low, normal, high]")
    text = text.replace("{low: 1, high: 2}", "{low: 1, normal: 2, high: 3}")
    return Reasoner(read_rulebase(write(sound(folder), {"base.yaml": text, "more.yaml": more})))


def faults_of(*folders: Path) -> list[Fault]:
    """The faults for which these folders are refused."""
    with pytest.raises(BadRuleBase) as caught:
        read_rulebase(*folders)
    return list(caught.value.faults)


def marked_line(text: str) -> int:
    """The number of the line that ends with the mark."""
    return next(number for number, line in enumerate(text.splitlines(), start=1) if line.endswith(MARK))


def kept_unproved(patch: pytest.MonkeyPatch, store: Path, shop: Path) -> None:
    """Let this process and those it starts find a shop's rules in a store of their own, as if they had been proved.

    For tests of what is read and told, which need no proof; `tests/validation/test_overlay_claims.py` tries the proof.
    """
    patch.setenv("XDG_CACHE_HOME", str(store))
    keep_rulebase([rules_folder()], load_rulebase())
    keep_rulebase([rules_folder(), shop.resolve()], load_rulebase(shop, proved=False))

"""From the rules that fired on each of many floors to what is recommended on it: every floor is one bit of a number."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from advisor.answer.bit_columns import Bits, less, total
from advisor.answer.ranking import CONDITION, NAMING, POINT, Recommendation, by_kind, order_of, parts, rank
from advisor.model.knowledge import RuleBase
from advisor.model.program import GroundRule, Program

LEVEL = "level:"  # before a finish: were it put first of those that are level


@dataclass
class Effects:
    """What the rules add to one finish, as sets of floors."""

    out: Bits = 0
    waits: Bits = 0
    needs: dict[str, Bits] = field(default_factory=dict)
    points: dict[Bits, int] = field(default_factory=dict)  # by the floors that get them: often many rules' the same

    def ranks(self, order: int, everything: Bits) -> tuple[int, int]:
        """The best rank that a finish can have where it is not ruled out, and the worst."""
        best = rank(0, sum(each for some, each in self.points.items() if each > 0 or some == everything), 0, order)
        varying = sum(abs(POINT * each) for some, each in self.points.items() if some != everything)
        return best, best + varying + CONDITION * len(self.needs)

    def adding(self, everything: Bits) -> Iterator[tuple[int, Bits]]:
        """What adds up from the best rank, and on which floors."""
        for some, each in self.points.items():
            if some != everything:
                yield abs(POINT * each), some if each < 0 else everything & ~some
        for some in self.needs.values():
            yield CONDITION, some

    def below_nothing(self, everything: Bits) -> Bits:
        """The floors on which its points come to less than none."""
        least = sum(min(each, 0) for each in self.points.values())
        adds = ((abs(each), some if each > 0 else everything & ~some) for some, each in self.points.items())
        width = sum(map(abs, self.points.values())).bit_length() + 1
        level = [everything if -least >> place & 1 else 0 for place in range(width)]
        return less(total(0, adds, width, everything), level, everything)


class Concluding:
    """A program made ready: what each of its rules adds to the answer."""

    def __init__(self, base: RuleBase, program: Program) -> None:
        self._finishes, self._order = tuple(base.finishes), order_of(base)
        self.does = {
            rule.name: [(part, each) for each in rule.conclusions for part in parts(base, each)]
            for rule in program.rules
        }

    def recommendations(
        self,
        fired: Iterable[tuple[GroundRule, Bits]],
        everything: Bits,
        real: Bits,
        weights: Mapping[str, int],
        ahead: Mapping[str, Bits] | None = None,
        but: Collection[str] = (),
    ) -> dict[Recommendation, Bits]:
        """Which of the floors that count get which recommendation; of `judged` the first part.

        Args:
            fired: each rule that fires on some floor, and the floors on which it does.
            everything: every floor.
            real: the floors that count.
            weights: what one point under each criterion counts.
            ahead: finishes that come first where they are level with others, and on which floors.
            but: parts that no rule is taken to add.
        """
        return self.judged(fired, everything, real, weights, ahead, but)[0]

    def judged(
        self,
        fired: Iterable[tuple[GroundRule, Bits]],
        everything: Bits,
        real: Bits,
        weights: Mapping[str, int],
        ahead: Mapping[str, Bits] | None = None,
        but: Collection[str] = (),
    ) -> tuple[dict[Recommendation, Bits], Iterator[Bits]]:
        """The same, and by leading finish the floors on which more speaks against it than for it; not worked out
        before it is asked for."""
        effects = {finish: Effects() for finish in self._finishes}
        for finish, some in (ahead or {}).items():
            effects[finish].points[some] = 1  # points are whole: one more puts it before those level with it
        stops = holds = asks = 0
        for rule, met in fired:
            for part, conclusion in self.does[rule.name]:
                match "" if part in but else part:
                    case "stops":
                        stops |= met
                    case "holds":
                        holds |= met
                    case "asks":
                        asks |= met
                    case "out":
                        effects[conclusion.finish].out |= met
                    case "waits":
                        effects[conclusion.finish].waits |= met
                    case "condition":
                        needs = effects[conclusion.finish].needs
                        needs[conclusion.name] = needs.get(conclusion.name, 0) | met
                    case "points":
                        points = effects[conclusion.finish].points
                        points[met] = points.get(met, 0) + weights[conclusion.name] * conclusion.points
        leaders = self._leaders(effects, everything)
        waits = 0
        for finish, leads in leaders.items():
            waits |= leads & effects[finish].waits if finish else 0
        kinds = by_kind(real, stops=stops, holds=holds, asks=asks, nothing_left=leaders[""], waits=waits)
        found: dict[Recommendation, Bits] = {}
        for kind, some in kinds.items():
            for finish, leads in leaders.items() if kind in NAMING else [("", some)]:
                if both := some & leads:
                    found[Recommendation(kind, finish)] = both
        poor = (leads & effects[finish].below_nothing(everything) for finish, leads in leaders.items() if finish)
        return found, poor

    def _leaders(self, effects: Mapping[str, Effects], everything: Bits) -> dict[str, Bits]:
        """The leading finish of each floor, or "" where none is left: the one of the least rank."""
        ranks = {finish: each.ranks(self._order[finish], everything) for finish, each in effects.items()}
        # One that is nowhere ruled out leads at the latest by its worst rank: what is never better never leads.
        enough = min((worst for finish, (_, worst) in ranks.items() if not effects[finish].out), default=None)
        ranks = {finish: each for finish, each in ranks.items() if enough is None or each[0] <= enough}
        lowest = min((best for best, _ in ranks.values()), default=0)
        width = (max((worst for _, worst in ranks.values()), default=0) - lowest).bit_length()
        least, leads = [0] * width, {"": everything}
        for finish, (best, _) in ranks.items():
            if not (alive := everything & ~effects[finish].out):
                continue
            ranked = total(best - lowest, effects[finish].adding(everything), width, everything)
            takes = alive & (less(ranked, least, everything) | leads[""])
            leads = {other: some & ~takes for other, some in leads.items()}
            leads[finish] = takes
            least = [(old & ~takes) | (new & takes) for old, new in zip(least, ranked, strict=True)]
        return leads

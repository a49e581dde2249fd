"""The weather of the work, hour by hour: a forecast or a season's profile from CSV, and what a finish allows.

A forecast has a row an hour (`time`, `air_c` or `air_f`, `humidity`, and `slab_c` or `slab_f` if measured); a season a
row a month (`month`, `day_c`, `night_c` or `_f`, `day_humidity`, `night_humidity`), swung over the day by
`physics.cure.day_and_night`. Where the slab is not given it is taken at the mean air temperature of the day: a slab on
the ground lags behind the air (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path

from advisor.errors import AdvisorError, Fault
from advisor.model.as_written import is_number
from advisor.model.finishes import Finish
from advisor.model.grounding import ground_one
from advisor.model.knowledge import RuleBase
from advisor.model.program import GroundRule, Pattern
from advisor.model.quantities import show
from advisor.model.remembered import OncePerBase
from advisor.model.values import Value
from advisor.physics.air import dew_margin
from advisor.physics.bounds import Interval
from advisor.physics.cure import day_and_night
from advisor.physics.units import celsius_from_fahrenheit
from advisor.sheets import BadSheet, read_sheet
from explanations.wording import label, wording
from explanations.words import in_short

HOUR = timedelta(hours=1)
COLDEST, WARMEST = -50.0, 60.0
MEASURED = frozenset({"air_temperature", "slab_temperature", "air_humidity", "dew_point_margin"})


class BadWeather(AdvisorError):
    """A weather file cannot be used; every fault is named with row and column."""


@dataclass(frozen=True)
class Conditions:
    """One hour: temperatures of air and slab [degC], relative humidity of the air [%]."""

    air: float
    humidity: float
    slab: float


@dataclass(frozen=True)
class Weather:
    """Conditions by the hour, and what they rest on; None beyond what the file covers."""

    at: Callable[[datetime], Conditions | None]
    words: str

    def mean_air(self, start: datetime, hours: int = 24) -> float | None:
        """Mean air temperature [degC] over the hours that follow; None where nothing is known."""
        found = [c.air for hour in range(hours) if (c := self.at(start + hour * HOUR))]
        return sum(found) / len(found) if found else None


@dataclass(frozen=True)
class WeatherLimit:
    """What a rule asks of an hour's weather: where all of it holds, the finish may not go on."""

    patterns: tuple[Pattern, ...]
    words: str


def weather_limits(base: RuleBase, finish: Finish) -> tuple[WeatherLimit, ...]:
    """The limits of one finish: of the rules that ask for nothing but the weather, and let something come first."""
    return tuple(
        WeatherLimit(form.patterns, "; ".join(_words(base, each) for each in form.patterns))
        for form in _WEATHER_RULES(base)
        if finish.id in form.finishes
    )


def _weather_rules(base: RuleBase) -> list[GroundRule]:
    return [
        form
        for rule in base.rules.values()
        if rule.then.first and rule.when and MEASURED.issuperset(rule.when)
        for form in ground_one(base, rule)
    ]


_WEATHER_RULES = OncePerBase(_weather_rules)


def _words(base: RuleBase, pattern: Pattern) -> str:
    first = pattern.comparisons[0]
    limit = show(Interval(first.bound, first.bound), base.facts[pattern.fact].unit)
    above = first.op in (">", ">=")
    return wording("weather.above" if above else "weather.below", what=label("fact", pattern.fact), limit=limit)


def forbidden(limits: Iterable[WeatherLimit], now: Conditions) -> str:
    """Why a finish may not go on in this hour, or nothing."""
    margin = float(dew_margin(now.slab, now.air, max(now.humidity, 1.0)))
    measured = {
        "air_temperature": now.air,
        "slab_temperature": now.slab,
        "air_humidity": now.humidity,
        "dew_point_margin": margin,
    }
    values = {name: Value("given", True, "", Interval(each, each)) for name, each in measured.items()}
    return next((each.words for each in limits if all(p.holds(values[p.fact]) for p in each.patterns)), "")


def read_weather(path: Path, warmest_hour: float) -> Weather:
    """Read a forecast or a season's profile, whose days are warmest at an hour.

    Raises:
        BadWeather: with every fault, each with row and column.
    """
    return weather_of(path.name, _rows(path), warmest_hour)


def weather_of(file: str, rows: Sequence[tuple[int, Mapping[str, str]]], warmest_hour: float) -> Weather:
    """A forecast or a season's profile from rows with their numbers.

    Args:
        file: what they are called.
        rows: at least one; cells by column.
        warmest_hour: of the days of a season.

    Raises:
        BadWeather: with every fault, each with row and column.
    """
    names = set(rows[0][1])
    faults: list[Fault] = []
    if "month" in names:
        weather = _season(file, rows, faults, warmest_hour)
    elif "time" in names:
        weather = _forecast(file, rows, faults)
    else:
        faults.append(Fault(_row(file, 1), wording("weather.columns"), wording("weather.columns_are")))
    if faults:
        raise BadWeather(faults)
    return weather


def _row(file: str, number: int) -> str:
    return wording("sheets.row", file=file, number=number)


def _rows(path: Path) -> tuple[tuple[int, dict[str, str]], ...]:
    try:
        sheet = read_sheet(path)
    except BadSheet as error:
        raise BadWeather(error.faults) from None
    if not sheet.rows:
        raise BadWeather([Fault(path.name, wording("sheets.empty"))])
    return sheet.rows


class _Cells:
    """Reads the cells of one row, noting what is wrong."""

    def __init__(self, where: str, row: Mapping[str, str], faults: list[Fault]) -> None:
        self.where, self.row, self.faults = where, row, faults

    def number(self, name: str, low: float, high: float) -> float:
        """The number in a column, or the low end where there is none (noted as a fault)."""
        text = self.row.get(name, "")
        value = float(text) if is_number(text) else float("nan")
        if not low <= value <= high:
            what = wording("weather.no_number", text=in_short(text)) if name in self.row else wording("weather.missing")
            allowed = wording("weather.between", low=f"{low:g}", high=f"{high:g}")
            self.faults.append(Fault(wording("sheets.cell", row=self.where, column=name), what, allowed))
            return low
        return value

    def temperature(self, name: str) -> float:
        """The temperature [degC] in the column `name_c` or `name_f`; not in both, which may differ."""
        if {f"{name}_c", f"{name}_f"} <= self.row.keys():
            at = wording("sheets.cell", row=self.where, column=f"{name}_f")
            self.faults.append(Fault(at, wording("weather.both", one=f"{name}_c", other=f"{name}_f")))
        if f"{name}_f" in self.row:
            fahrenheit = self.number(f"{name}_f", COLDEST * 1.8 + 32.0, WARMEST * 1.8 + 32.0)
            return float(celsius_from_fahrenheit(fahrenheit))
        return self.number(f"{name}_c", COLDEST, WARMEST)


def _forecast(file: str, rows: Iterable[tuple[int, Mapping[str, str]]], faults: list[Fault]) -> Weather:
    hours: dict[datetime, tuple[float, float, float | None]] = {}
    for number, row in rows:
        where = _row(file, number)
        column = wording("sheets.cell", row=where, column="time")
        cells = _Cells(where, row, faults)
        try:
            time = datetime.fromisoformat(row["time"]).replace(minute=0, second=0, microsecond=0, tzinfo=None)
        except ValueError:
            faults.append(
                Fault(column, wording("weather.no_time", text=in_short(row["time"])), wording("weather.time"))
            )
            continue
        if time in hours:
            faults.append(Fault(column, wording("weather.twice", time=row["time"]), wording("weather.once")))
        slab = cells.temperature("slab") if {"slab_c", "slab_f"} & set(row) else None
        hours[time] = (cells.temperature("air"), cells.number("humidity", 1.0, 100.0), slab)

    @cache
    def at(time: datetime) -> Conditions | None:
        found = hours.get(time.replace(minute=0, second=0, microsecond=0))
        if found is None:
            return None
        air, humidity, slab = found
        if slab is None:
            near = [value[0] for other, value in hours.items() if abs(other - time) <= 12 * HOUR]
            slab = sum(near) / len(near)
        return Conditions(air, humidity, slab)

    return Weather(at, wording("weather.forecast", file=file))


def _season(file: str, rows: Iterable[tuple[int, Mapping[str, str]]], faults: list[Fault], warmest: float) -> Weather:
    months: dict[int, tuple[tuple[float, ...], tuple[float, ...]]] = {}
    for number, row in rows:
        cells = _Cells(_row(file, number), row, faults)
        month = int(cells.number("month", 1, 12))
        day, night = cells.temperature("day"), cells.temperature("night")
        damp = cells.number("day_humidity", 1.0, 100.0), cells.number("night_humidity", 1.0, 100.0)
        months[month] = day_and_night(day, night, 23, 0.0, warmest), day_and_night(*damp, 23, 0.0, warmest)

    def at(time: datetime) -> Conditions | None:
        if time.month not in months:
            return None
        air, humidity = months[time.month]
        return Conditions(air[time.hour], humidity[time.hour], sum(air) / len(air))

    return Weather(at, wording("weather.season", file=file))

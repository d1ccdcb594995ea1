"""Strings of PV modules behind one tracker of an inverter: how many in series, and what each rule leaves to spare.

Cold open-circuit voltage, hot voltage at most power, currents and fuses, by IEC 62548 or the NEC, as held in ``string.toml`` with
clause and status. Strings carry direct current that no switch on the roof ends by day: their design is for licensed people.
"""

import tomllib
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from math import ceil, floor
from typing import Any, Literal, Self

from pydantic import Field, model_validator

from wattwright.core.bounds import as_least, as_most
from wattwright.core.errors import InputError, Place
from wattwright.core.fields import CurrentA, DifferenceK, PowerW, Share, Spec, TemperatureC, VoltageV
from wattwright.core.findings import Finding
from wattwright.generation import kinds

Rules = Literal["iec", "nec"]
Status = Literal["seen", "from memory", "common practice"]
_NOISE = 1e-9
"""What floating point may lose of a quotient that is whole; it is no rounding."""


class Module(Spec):
    """One PV module, as on its data sheet at standard conditions (1000 W/m2, 25 degC)."""

    peak_w: PowerW = Field(alias="peak", gt=0, le=2000, description="power at standard conditions")
    open_v: VoltageV = Field(alias="open", gt=0, le=500, description="open-circuit voltage Voc")
    working_v: VoltageV = Field(alias="working", gt=0, le=500, description="voltage at most power Vmp")
    short_a: CurrentA = Field(alias="short", gt=0, le=50, description="short-circuit current Isc")
    working_a: CurrentA = Field(alias="at_work", gt=0, le=50, description="current at most power Imp")
    open_per_k: Share | None = Field(None, gt=-0.01, le=0, description="change of Voc per kelvin, such as -0.28 %")
    working_per_k: Share = Field(
        gt=-0.01, le=0, description="change of Vmp (or Pmp) per kelvin, such as -0.36 %; not that of Voc"
    )
    system_v: VoltageV = Field(alias="system", gt=0, le=2000, description="most voltage of a system it may be part of")
    fuse_a: CurrentA = Field(alias="fuse", gt=0, le=100, description="largest fuse in series with it")

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.working_v >= self.open_v or self.working_a >= self.short_a:
            raise ValueError("working under open, and at_work under short|Read the data sheet again: columns are easily swapped.")
        return self


class Tracker(Spec):
    """One tracker (MPPT) of an inverter, as on its data sheet."""

    most_v: VoltageV = Field(alias="most_voltage", gt=0, le=2000, description="most direct voltage it bears")
    window_low_v: VoltageV = Field(alias="window_low", gt=0, le=2000, description="lowest voltage at which it tracks")
    window_high_v: VoltageV = Field(alias="window_high", gt=0, le=2000, description="highest voltage at which it tracks")
    input_a: CurrentA = Field(alias="input_current", gt=0, le=500, description="most current it takes at work")
    short_a: CurrentA = Field(alias="short", gt=0, le=1000, description="most short-circuit current it bears")
    ac_w: PowerW = Field(alias="ac", gt=0, le=1_000_000, description="alternating power that falls to it")

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if not self.window_low_v <= self.window_high_v <= self.most_v:
            raise ValueError("window_low, window_high and most_voltage in rising order|Read the data sheet again.")
        return self


class Strings(Spec):
    """What is asked: modules in series and strings side by side on one tracker, at a place, by a rule set."""

    rules: Rules = Field(description="iec: IEC 62548; nec: NEC article 690")
    module: Module = Field(description="the module, all alike and looking one way")
    tracker: Tracker = Field(description="what they end in")
    series: int | None = Field(None, ge=1, le=100, description="modules in series; the most that fit if left out")
    parallel: int = Field(1, ge=1, le=50, description="strings side by side")
    coldest_c: TemperatureC = Field(alias="coldest", ge=-40, le=25, description="lowest expected ambient: mean of yearly lows")
    hottest_c: TemperatureC = Field(alias="hottest", ge=0, le=60, description="highest ambient")
    over_air_k: DifferenceK = Field(
        30.0, alias="over_air", ge=0, le=60, description="cell over air at full sun; usual: 25 to 35 K"
    )
    building: Literal["dwelling", "other-building", "elsewhere"] = Field(
        description="where it stands: the NEC limits the voltage"
    )
    string_fuse_a: CurrentA | None = Field(None, alias="string_fuse", gt=0, le=100, description="fuse of each string, if any")


@dataclass(frozen=True, slots=True)
class Ruled:
    """One rule: ``found`` may be at most ``limit`` (at least, where ``least``); ``grave`` rules refuse, others are told."""

    id: str
    what: str
    clause: str
    found: float
    limit: float
    unit: str
    status: Status
    least: bool = False
    grave: bool = True

    @property
    def passed(self) -> bool:
        """Return whether the limit is kept."""
        return self.margin >= -_NOISE

    @property
    def margin(self) -> float:
        """Return the spare share of the limit, negative where it is passed."""
        spare = self.found / self.limit - 1.0
        return spare if self.least else -spare


@dataclass(frozen=True, slots=True)
class StringDesign:
    """Strings judged: modules in series taken and allowed, voltages and currents of the whole, rules, and findings.

    ``conductor_a`` is what conductors must carry of each string. ``back_a`` is what those of one string must carry of what the
    others push into its fault, nought where a fuse ends it (IEC 60364-7-712, IEC 62548 and NEC 690.9, from memory). ``ratio`` is
    direct power over alternating power.
    """

    series: int
    least: int
    most: int
    cold_open_v: float
    hot_working_v: float
    conductor_a: float
    back_a: float
    ratio: float
    steps: tuple[Ruled, ...]
    findings: tuple[Finding, ...]

    @property
    def a_string_a(self) -> float:
        """Return what the conductors of one string must carry, A: its own current, or more that comes back."""
        return max(self.conductor_a, self.back_a)

    @property
    def accepted(self) -> bool:
        """Return whether no grave rule fails."""
        return all(one.passed for one in self.steps if one.grave)


@lru_cache(maxsize=1)
def _held() -> dict[str, Any]:
    return tomllib.loads(files("wattwright.generation").joinpath("string.toml").read_text(encoding="utf-8"))


def cold_open_v(module: Module, coldest_c: float) -> float:
    """Return a module's open-circuit voltage at the lowest ambient, V: by its coefficient, else by the table's factor.

    Raises InputError where neither is known. Source: NEC 690.7(A) and IEC 62548; the module is taken as cold as the air.
    """
    if module.open_per_k is not None:
        return module.open_v * (1.0 + module.open_per_k * (coldest_c - 25.0))
    table = _held()["cold"]
    for lower, upper, factor in zip(table["lower"], table["upper"], table["factor"], strict=True):
        # Rows are of whole degrees; what lies between two counts to the colder one.
        if lower <= floor(coldest_c) <= upper:
            return module.open_v * float(factor)
    if floor(coldest_c) == 25:
        return module.open_v
    raise InputError.one(
        "generation.cold-row",
        Place(field="open_per_k"),
        found=f"no coefficient, and {coldest_c:g} °C",
        wanted="the change of Voc per kelvin, since this row of the cold table is not held",
        next_step="Take it from the module's data sheet.",
    )


def hot_working_v(module: Module, hottest_c: float, over_air_k: float) -> float:
    """Return a module's voltage at most power with hot cells, V. Source: common practice."""
    return module.working_v * (1.0 + module.working_per_k * (hottest_c + over_air_k - 25.0))


def strings(asked: Strings) -> StringDesign:
    """Return strings judged by every rule of their rule set; raises InputError where the cold voltage cannot be known."""
    cold_v = cold_open_v(asked.module, asked.coldest_c)
    hot_v = hot_working_v(asked.module, asked.hottest_c, asked.over_air_k)
    most = floor(_voltage_limit(asked) / cold_v + _NOISE)
    least = max(1, ceil(asked.tracker.window_low_v / hot_v - _NOISE))
    series = max(1, most) if asked.series is None else asked.series
    steps = (*_voltages(asked, series, cold_v, hot_v), *_currents(asked), *_fuses(asked), _ratio(asked, series))
    findings = [_told(one) for one in steps if not one.passed]
    if least > most:
        findings.insert(0, kinds.NO_LENGTH.at("string", most=most, least=least))
    conductor_a = _held()[asked.rules]["conductor"]["factor"] * asked.module.short_a
    return StringDesign(
        series, least, most, series * cold_v, series * hot_v, conductor_a, _back_a(asked), steps[-1].found, steps, tuple(findings)
    )  # fmt: skip


def _back_a(asked: Strings) -> float:
    """Return what the conductors of a faulted string must carry back from the others, A; nought where a fuse ends it."""
    if asked.string_fuse_a is not None:
        return 0.0
    return float(_held()[asked.rules]["conductor-back"]["factor"]) * (asked.parallel - 1) * asked.module.short_a


def _building_v(asked: Strings) -> float:
    return float(_held()["nec"]["building"][asked.building])


def _voltage_limit(asked: Strings) -> float:
    limit_v = min(asked.tracker.most_v, asked.module.system_v)
    return min(limit_v, _building_v(asked)) if asked.rules == "nec" else limit_v


def _voltages(asked: Strings, series: int, cold_v: float, hot_v: float) -> list[Ruled]:
    held, usual = _held()[asked.rules]["cold"], _held()["usual"]["window"]
    open_v = series * cold_v
    working_v = series * asked.module.working_v * (1.0 + asked.module.working_per_k * (asked.coldest_c - 25.0))
    steps = [
        Ruled(
            "inverter-voltage", "cold voltage at the inverter", held["clause"], open_v, asked.tracker.most_v, "V", held["status"]
        ),
        Ruled(
            "module-voltage", "cold voltage at the modules", held["clause"], open_v, asked.module.system_v, "V", held["status"]
        ),
    ]
    if asked.rules == "nec":
        rule = _held()["nec"]["building"]
        steps.append(
            Ruled(
                "building-voltage",
                "cold voltage at the building",
                rule["clause"],
                open_v,
                _building_v(asked),
                "V",
                rule["status"],
            )
        )
    low_v, high_v = asked.tracker.window_low_v, asked.tracker.window_high_v
    window, status = usual["clause"], usual["status"]
    steps.append(Ruled("hot-window", "hot voltage at work", window, series * hot_v, low_v, "V", status, least=True))
    steps.append(Ruled("cold-window", "cold voltage at work", window, working_v, high_v, "V", status, grave=False))
    return steps


def _currents(asked: Strings) -> list[Ruled]:
    held, usual = _held()[asked.rules]["inverter-current"], _held()["usual"]["window"]
    short_a = asked.parallel * asked.module.short_a * held["factor"]
    working_a = asked.parallel * asked.module.working_a
    bears_a, takes_a = asked.tracker.short_a, asked.tracker.input_a
    return [
        Ruled("short-current", "short-circuit current at the inverter", held["clause"], short_a, bears_a, "A", held["status"]),
        Ruled(
            "input-current", "current at work", usual["clause"], working_a, takes_a, "A", usual["status"], grave=False
        ),
    ]  # fmt: skip


def _fuses(asked: Strings) -> list[Ruled]:
    held, module = _held()[asked.rules], asked.module
    if asked.string_fuse_a is None:
        rule = held["fuse-needed"]
        back_a = (asked.parallel - 1) * module.short_a
        what = "current back into a string without a fuse"
        return [Ruled("fuse-needed", what, rule["clause"], back_a, module.fuse_a, "A", rule["status"])]
    least, fuse_a = held["fuse-least"], asked.string_fuse_a
    least_a = least["factor"] * module.short_a
    of_module = "module's data sheet"
    steps = [
        Ruled("fuse-least", "fuse carries the string", least["clause"], fuse_a, least_a, "A", least["status"], least=True),
        Ruled("fuse-module", "fuse protects the modules", of_module, fuse_a, module.fuse_a, "A", "seen"),
    ]
    if "fuse-most" in held:
        rule = held["fuse-most"]
        most_a = rule["factor"] * module.short_a
        steps.append(Ruled("fuse-most", "fuse is quick enough", rule["clause"], fuse_a, most_a, "A", rule["status"]))
    return steps


def _ratio(asked: Strings, series: int) -> Ruled:
    rule = _held()["usual"]["ratio"]
    ratio = series * asked.parallel * asked.module.peak_w / asked.tracker.ac_w
    return Ruled(
        "ratio", "direct over alternating power", rule["clause"], ratio, rule["most"], "to 1", rule["status"], grave=False
    )


def _told(rule: Ruled) -> Finding:
    # On paper no bound is wider than the rule has it.
    limit = (as_least if rule.least else as_most)(rule.limit)
    if rule.grave:
        return kinds.STRING_FAILS.at(
            "string", what=rule.what, found=rule.found, limit=limit, unit=rule.unit, clause=rule.clause,
            bound="at least" if rule.least else "at most",
        )  # fmt: skip
    return kinds.OUTSIDE_WINDOW.at("string", what=rule.what, found=rule.found, limit=limit, unit=rule.unit)

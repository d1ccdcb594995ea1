"""What an appliance draws: running, design and starting current, each with its working.

IEC: the design current Ib is what the appliance draws, P / (eta cos phi U) of a motor. NEC: what conductor and breaker have to be
rated for, 125 % of a continuous load (Art. 100, 210.19, 210.20) and of a motor's table current (430.6, 430.22).
"""

from dataclasses import dataclass
from math import sqrt
from typing import Any

from wattwright.gear.circuit.appliance import Appliance, RuleSet
from wattwright.gear.circuit.motors import W_HP, table_current
from wattwright.gear.circuit.tables import Status, table
from wattwright.gear.circuit.working import Line, Question, figure

CONTINUOUS = 1.25
"""NEC: what is rated for a continuous load over the load itself."""
_STORAGE_L = 450.0


@dataclass(frozen=True, slots=True)
class DesignCurrent:
    """What an appliance draws, A.

    ``plate_a`` is what it draws by its own figures, ``running_a`` the current that rules start from (under NEC that of a motor's
    table), ``design_a`` what the circuit is designed for, ``starting_a`` the highest current of a start (None where it has to be
    asked). ``loaded`` is the number of loaded conductors, ``questions`` what was taken and has to be asked on site.
    """

    running_a: float
    design_a: float
    starting_a: float | None
    plate_a: float
    power_factor: float
    loaded: int
    continuous: bool
    lines: tuple[Line, ...]
    questions: tuple[Question, ...]


def design_current(appliance: Appliance, rules: RuleSet) -> DesignCurrent:
    """Return what an appliance draws under a rule set, A; raises InputError where a motor lies outside its NEC table.

    Source: IEC 60364-5-52 (Ib); NEC Art. 100, 210.19(A), 210.20(A), 422.13, 430.6(A), 430.22, 440.32.
    """
    made = _Working(appliance)
    by_table = rules == "nec" and appliance.duty == "motor"
    plate_a = made.plate("current by its own figures" if by_table else "running current")
    running_a = made.by_table(plate_a) if by_table else plate_a
    continuous = made.continuous(rules)
    design_a = made.designed(running_a, rules, continuous)
    starting_a = made.starting(running_a)
    return DesignCurrent(
        running_a, design_a, starting_a, plate_a, made.power_factor, appliance.loaded, continuous, tuple(made.lines),
        tuple(made.questions),
    )  # fmt: skip


class _Working:
    """The lines and questions that gather while the currents are worked out."""

    def __init__(self, appliance: Appliance) -> None:
        self.appliance = appliance
        self.lines: list[Line] = []
        self.questions: list[Question] = []
        self._usual = _usual(appliance)
        self._assumed = False
        self.power_factor = self._told("power_factor", "the power factor (cos phi)", appliance.power_factor)

    def _told(self, name: str, what: str, given: float | None) -> float:
        """Return a value of the plate, or the usual one with a question."""
        if given is not None:
            return given
        usual = float(self._usual[name])
        if self._usual["status"] == Status.COMMON_PRACTICE:
            self._assumed = True
            self.questions.append(Question(name, f"{what} on the plate", f"{usual:g} ({self._usual['source']})"))
        return usual

    def _say(self, symbol: str, what: str, value: float, formula: str, figures: str, clause: str, status: Status) -> float:
        self.lines.append(Line(what, symbol, value, "A", formula, f"{figures} = {figure(value, 'A')}", clause, status))
        return value

    def plate(self, what: str) -> float:
        """Return ``what`` it draws by its own figures: the plate's current, else from power and voltage."""
        one = self.appliance
        if one.current_a is not None:
            return self._say("I", "current on the plate", one.current_a, "I", "plate", "", Status.WORKED_OUT)
        power_w = one.power_w or 0.0
        root, sign = (sqrt(3.0), "√3 ") if one.system == "three-phase" else (1.0, "")
        volts = f"{sign}{figure(one.voltage_v, 'V')}"
        under, letters, figures = root * one.voltage_v * self.power_factor, f"{sign}U cos φ", f"{volts} x {self.power_factor:g}"
        if one.duty == "motor":
            efficiency = self._told("efficiency", "the efficiency (eta)", one.efficiency)
            under, letters, figures = under * efficiency, f"{letters} η", f"{figures} x {efficiency:g}"
        status = Status.COMMON_PRACTICE if self._assumed else Status.WORKED_OUT
        figures = f"{figure(power_w, 'W')} / ({figures})"
        return self._say("I", what, power_w / under, f"P / ({letters})", figures, "", status)

    def by_table(self, plate_a: float) -> float:
        """Return a motor's full-load current by its horsepower; its plate's where that tells amperes only (NEC 430.6(A))."""
        one = self.appliance
        if one.power_w is None:
            self.questions.append(
                Question("horsepower", "the rated power of the motor, for the table of full-load currents", "the plate's current")
            )
            clause = "NEC 430.6(A)(1), exception"
            return self._say("FLC", "full-load current", plate_a, "I", "plate", clause, Status.FROM_MEMORY)
        found = table_current(one.power_w, one.voltage_v, one.system)
        figures = f"{one.power_w / W_HP:.3g} hp, row {found.hp:g} hp, {found.column_v} V"
        return self._say("FLC", "full-load current", found.current_a, "by horsepower", figures, found.clause, found.status)

    def continuous(self, rules: RuleSet) -> bool:
        """Return whether it counts as continuous; where nobody said, it does."""
        one = self.appliance
        if rules == "nec" and one.storage_l is not None and one.storage_l <= _STORAGE_L:
            return True
        if one.continuous is None:
            self.questions.append(Question("continuous", "whether it may run for three hours or more at a time", "that it may"))
            return True
        return one.continuous

    def designed(self, running_a: float, rules: RuleSet, continuous: bool) -> float:
        """Return what the circuit is designed for."""
        one = self.appliance
        if rules == "iec":
            return self._say("Ib", "design current", running_a, "I", "what it draws", "IEC 60364-5-52", Status.WORKED_OUT)
        clause, status = self._nec_clause()
        if not (continuous or one.is_motor):
            return self._say("I", "design current", running_a, "I", "not continuous", clause, status)
        figures = f"{CONTINUOUS:g} x {figure(running_a, 'A')}"
        return self._say("I", "design current", CONTINUOUS * running_a, f"{CONTINUOUS:g} I", figures, clause, status)

    def _nec_clause(self) -> tuple[str, Status]:
        one = self.appliance
        if one.duty == "motor":
            return "NEC 430.22", Status.SEEN
        if one.duty == "compressor":
            return "NEC 440.32", Status.FROM_MEMORY
        if one.storage_l is not None and one.storage_l <= _STORAGE_L:
            return "NEC 422.13, 210.19(A), 210.20(A)", Status.SEEN
        return "NEC Art. 100, 210.19(A), 210.20(A)", Status.SEEN

    def starting(self, running_a: float) -> float | None:
        """Return the highest current of a start; None with a question where it cannot be known."""
        one = self.appliance
        if one.start_ratio is None and "start_ratio" not in self._usual:
            self.questions.append(
                Question("start_ratio", "the inrush current, and how many of it its maker allows on one breaker")
            )
            return None
        ratio = self._told("start_ratio", "the starting current over the running current", one.start_ratio)
        if ratio == 1.0:
            return running_a
        told = one.start_ratio is not None
        status = Status.WORKED_OUT if told else Status(self._usual["status"])
        figures = f"{ratio:g} x {figure(running_a, 'A')}"
        return self._say("Is", "starting current", ratio * running_a, "ratio x I", figures, "", status)


def _usual(appliance: Appliance) -> dict[str, Any]:
    found: dict[str, Any] = table("usual")[appliance.duty]
    return dict(found[appliance.system]) if appliance.duty == "motor" else found

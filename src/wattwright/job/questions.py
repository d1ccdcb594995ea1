"""What a meter file leaves open, as questions with their possible answers: from a fault that stops, or from a finding."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from wattwright.core.errors import Fault, quoted
from wattwright.core.findings import Finding
from wattwright.core.quantity import Quantity
from wattwright.core.show import Show
from wattwright.record import kinds
from wattwright.record.faults import kinds as faults
from wattwright.record.record import Form, Record

Entries = Mapping[str, Any]
"""Entries of job.toml by their dotted path: below the file's own entry ("layout.stamps", "channel"), or "site.zone"."""

_OPTIONS = {"date_order": "--date-order", "decimal": "--decimal", "stamps": "--stamps", "clock": "--clock", "part": "--part"}
_UNKNOWN_COLUMN = ((Form.MEAN, "W"), (Form.MEAN, "kW"), (Form.ENERGY, "Wh"), (Form.ENERGY, "kWh"))
_OTHER_SIZE = {"W": "kW", "kW": "W", "Wh": "kWh", "kWh": "Wh", "var": "kvar", "kvar": "var", "VA": "kVA", "kVA": "VA"}


@dataclass(frozen=True, slots=True)
class Choice:
    """One possible answer: in words, as entries of job.toml, and as an option of the command line."""

    words: str
    entries: Entries
    option: str


@dataclass(frozen=True, slots=True)
class Question:
    """What is open, the fault or finding it comes from, and the answers there may be, the one taken first.

    ``is_open`` tells that nothing can be read before it is answered; otherwise the first choice was taken. ``hint`` holds
    entries to fill in where no list of answers can be given.
    """

    about: Fault | Finding
    is_open: bool
    choices: tuple[Choice, ...]
    hint: Entries = field(default_factory=dict)

    def asks(self, show: Show) -> str:
        """Return what is open, as a sentence."""
        return self.about.sentence() if isinstance(self.about, Fault) else self.about.says(show)


def of_fault(fault: Fault) -> Question | None:
    """Return the question behind a fault that an answer would mend, or None for plain damage."""
    named, choices = fault.data.get("field"), fault.data.get("choices")
    if not isinstance(named, str) or not isinstance(choices, Sequence) or not choices:
        return None
    if named == "irregular":
        return Question(fault, True, (Choice("hold", {"layout.irregular": "hold"}, '--hold "1 min"'),))
    if named == "columns":
        return Question(fault, True, _unknown_column(str(choices[0])))
    return Question(fault, True, _plain(named, [str(one) for one in choices]))


def of_record(record: Record) -> tuple[Question, ...]:
    """Return what was settled without proof when ``record`` was read, one question for each."""
    asked = ((one, _OF_FINDING.get(one.code)) for one in record.findings)
    made = [make(finding, record) for finding, make in asked if make is not None]
    return tuple(one for one in made if one is not None)


def _plain(named: str, values: Sequence[str]) -> tuple[Choice, ...]:
    return tuple(Choice(one, {f"layout.{named}": one}, f"{_OPTIONS[named]} {quoted(one)}") for one in values)


def _unknown_column(column: str) -> tuple[Choice, ...]:
    """Return what a column of numbers without a name may hold of power or energy."""
    return tuple(_column(column, Quantity.ACTIVE_POWER, form, unit) for form, unit in _UNKNOWN_COLUMN)


def _column(column: str, quantity: Quantity, form: Form, unit: str) -> Choice:
    spec = {"column": column, "quantity": quantity.value, "form": form.value, "unit": unit}
    words = f"{form.value} in {unit}"
    return Choice(words, {"layout.columns": [spec]}, f'--column "{column}={quantity.value},{form.value},{unit}"')


def _date_order(finding: Finding, _: Record) -> Question:
    return Question(finding, False, _plain("date_order", [str(finding.data["order"]), str(finding.data["other"])]))


def _stamps(finding: Finding, _: Record) -> Question:
    return Question(finding, False, _plain("stamps", ["start", "end"]))


def _standard_time(finding: Finding, _: Record) -> Question:
    return Question(finding, False, _plain("clock", ["standard time", "site"]))


def _site_clock(finding: Finding, _: Record) -> Question:
    return Question(finding, False, _plain("clock", ["site", "standard time"]))


def _zone(finding: Finding, _: Record) -> Question:
    return Question(finding, False, (), {"site.zone": "Europe/Athens"})


def _thousands(finding: Finding, record: Record) -> Question:
    taken = "," if record.layout.decimal == "comma" else "."
    return Question(finding, False, _plain("decimal", [taken, "." if taken == "," else ","]))


def _guessed(finding: Finding, record: Record) -> Question | None:
    column = str(finding.data["column"])
    meaning = next((one.meaning for one in record.channels if one.column == column), None)
    if meaning is None or meaning.unit not in _OTHER_SIZE:
        return None
    units = (meaning.unit, _OTHER_SIZE[meaning.unit])
    return Question(finding, False, tuple(_column(column, meaning.quantity, meaning.form, unit) for unit in units))


def _form_judged(finding: Finding, record: Record) -> Question | None:
    column = str(finding.data["column"])
    meaning = next((one.meaning for one in record.channels if one.column == column), None)
    if meaning is None:
        return None
    forms = ((Form.REGISTER, "it rises by", finding.data["risen"]), (Form.ENERGY, "it adds up to", finding.data["added"]))
    made = ((_column(column, meaning.quantity, form, meaning.unit), f"{how} {amount:,.6g}") for form, how, amount in forms)
    return Question(finding, False, tuple(replace(one, words=f"{one.words}: {how} {meaning.unit}") for one, how in made))


def _column_unknown(finding: Finding, _: Record) -> Question:
    # No quantity is likelier than another, so none is proposed: all there are stand in its place.
    known = " or ".join(Quantity)
    return Question(finding, False, (), {"layout.columns": [{"column": str(finding.data["column"]), "quantity": known}]})


def _several_powers(finding: Finding, record: Record) -> Question | None:
    main = record.main
    if main is None:
        return None
    others = [one for one in record.of(main.meaning.quantity) if one.meaning.phase is main.meaning.phase and one is not main]
    return Question(finding, False, tuple(Choice(one.column, {"channel": one.id}, f"--channel {quoted(one.id)}")
                                          for one in (main, *others)))  # fmt: skip


_OF_FINDING: dict[str, Callable[[Finding, Record], Question | None]] = {
    kinds.DATE_ORDER.code: _date_order,
    kinds.STAMPS_ASSUMED.code: _stamps,
    kinds.STANDARD_TIME.code: _standard_time,
    faults.CLOCK_OPEN.code: _standard_time,
    kinds.AUTUMN_ONCE.code: _site_clock,
    kinds.ZONE.code: _zone,
    kinds.GROUPED.code: _thousands,
    kinds.GUESSED.code: _guessed,
    kinds.FORM_JUDGED.code: _form_judged,
    kinds.COLUMN.code: _column_unknown,
    kinds.COLUMN_UNIT.code: _column_unknown,
    kinds.SEVERAL_POWERS.code: _several_powers,
}

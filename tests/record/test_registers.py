"""Registers that are reset or garbled are registers still, and never energies of an interval; worked out by hand."""

from datetime import UTC, datetime, timedelta
from typing import Literal

import numpy as np
import pytest

from tests.record.writing import Write
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.core.series import Series
from wattwright.core.show import Show
from wattwright.job.questions import of_record
from wattwright.record.read import read_record
from wattwright.record.record import Channel, Form, Meaning, Record, StampsMark
from wattwright.record.registered import known_spans
from wattwright.record.registers import Turn, used_between
from wattwright.record.spec import ColumnSpec, LayoutSpec

START = datetime(2025, 6, 1)
START_S = int(START.replace(tzinfo=UTC).timestamp())


def file_of(readings: list[float], step_min: int = 15) -> str:
    """The readings under `time,kWh`, one per step."""
    stamps = [START + timedelta(minutes=step_min * i) for i in range(len(readings))]
    return "\n".join(["time,kWh", *(f"{s:%Y-%m-%d %H:%M},{r:.2f}" for s, r in zip(stamps, readings, strict=True)), ""])


def energy_kwh(record: Record) -> float:
    series = record.channels[0].series
    return float(np.nansum(series.values)) * series.step_s / 3.6e6


def back(record: Record) -> tuple[int, int]:
    """How often the register ran back, and where first, in quarters of an hour from the start."""
    (told,) = [f for f in record.findings if f.code == "record.register-back"]
    return int(str(told.data["count"])), (int(str(told.data["start"])) - START_S) // 900


@pytest.mark.parametrize("count", [20, 672])
@pytest.mark.parametrize("garbled", [0.0, 99_999_999.0])
def test_garbled_reading_in_a_register(write: Write, count: int, garbled: float) -> None:
    """Of n readings a quarter of a kWh apart one is garbled: n - 1 intervals less the two beside it, 0.25 kWh each."""
    readings = [12_000 + 0.25 * i for i in range(count)]
    readings[9] = garbled
    record = read_record(write(file_of(readings)), "UTC")
    assert record.channels[0].meaning.form is Form.REGISTER
    assert energy_kwh(record) == pytest.approx(0.25 * (count - 3))
    assert back(record) == (1, 8 if garbled == 0 else 9)
    assert [(gap.start_s, gap.intervals) for gap in record.gaps] == [(START_S + 900 * 8, 2)]


def test_register_set_to_nought(write: Write) -> None:
    """300 readings, then from nought 372 more: 299 and 371 intervals of 0.25 kWh, and the one of the reset is missing."""
    readings = [12_000 + 0.25 * i for i in range(300)] + [0.25 * i for i in range(372)]
    record = read_record(write(file_of(readings)), "UTC")
    assert energy_kwh(record) == pytest.approx(0.25 * (299 + 371))
    assert back(record) == (1, 299)
    assert record.gaps[0].intervals == 1


@pytest.mark.parametrize("step_min", [15, 60])
def test_register_that_begins_anew_each_day(write: Write, step_min: int) -> None:
    """Seven days from nought, a quarter of a kWh each step: of each day all intervals but the one that holds the reset."""
    a_day = 24 * 60 // step_min
    record = read_record(write(file_of([0.25 * i for i in range(a_day)] * 7, step_min)), "UTC")
    assert record.channels[0].meaning.form is Form.REGISTER
    assert energy_kwh(record) == pytest.approx(7 * 0.25 * (a_day - 1))
    assert [one.data["count"] for one in record.findings if one.code == "record.register-daily"] == [6]


@pytest.mark.parametrize(
    "readings",
    [
        # A week of a load that rises in eight steps and falls in one: by whole kWh, so far from its level.
        [float(i % 9) for i in range(168)],
        # A base load with a heater now and then.
        [0.5 + 2.0 * (i % 24 == 7) for i in range(168)],
        # Up and down alike about a high level.
        [50 + 0.5 * abs(i % 24 - 12) for i in range(168)],
    ],
)
def test_energy_per_interval_stays_so(write: Write, readings: list[float]) -> None:
    """Loads that come down as they went up, or step by much of their size, are energies: their sum is the total."""
    record = read_record(write(file_of(readings)), "UTC")
    assert record.channels[0].meaning.form is Form.ENERGY
    assert energy_kwh(record) == pytest.approx(sum(readings))


@pytest.mark.parametrize("mark", ["start", "end"])
def test_readings_and_the_intervals_between(write: Write, mark: Literal["start", "end"]) -> None:
    """672 readings bound 671 intervals, from the first reading to the last; none is missing, whichever end the stamps mark."""
    record = read_record(write(file_of([12_000 + 0.25 * i for i in range(672)])), "UTC", LayoutSpec(stamps=mark))
    series = record.channels[0].series
    assert (record.rows, len(series), int(series.present.sum()), record.gaps) == (672, 671, 671, ())
    assert (series.start_s, series.end_s) == (START_S, START_S + 671 * 900)
    assert "record.gaps" not in {f.code for f in record.findings}


@pytest.mark.parametrize("mark", ["start", "end"])
def test_register_beside_another_reading(write: Write, mark: Literal["start", "end"]) -> None:
    """Beside a voltage, which holds for each stamp's own interval, the register keeps its 23 uses and lacks none of them."""
    lines = file_of([12_000 + 0.25 * i for i in range(24)]).replace(",kWh", ",kWh,V").splitlines()
    text = "\n".join([lines[0], *(f"{line},230.5" for line in lines[1:]), ""])
    record = read_record(write(text), "UTC", LayoutSpec(stamps=mark))
    counts = [int(channel.series.present.sum()) for channel in record.channels]
    assert (counts, record.gaps) == ([23, 24], ())


def test_what_is_taken_for_a_register_may_be_said_to_be_none(write: Write) -> None:
    """A load that climbs for 95 quarters and drops, each day, counts like a register; said to be an energy, it is one."""
    readings = [0.25 * i for i in range(96)] * 2
    path = write(file_of(readings))
    (told,) = [f for f in read_record(path, "UTC").findings if f.code == "record.register-back"]
    assert "energy per interval" in told.do(Show())
    said = ColumnSpec(column="kWh", quantity=Quantity.ACTIVE_POWER, form=Form.ENERGY, unit="kWh")
    record = read_record(path, "UTC", LayoutSpec(columns=(said,)))
    # Twice 0.25 x (0 + 1 + ... + 95) = 2 x 0.25 x 4560.
    assert energy_kwh(record) == pytest.approx(2280)


def turned(record: Record) -> dict[str, int]:
    """The interval, in quarters of an hour from the start, at which each kind of turn is told."""
    told = {f.code: f for f in record.findings if f.code.startswith("record.register-")}
    return {code.removeprefix("record.register-"): (int(str(f.data["start"])) - START_S) // 900 for code, f in told.items()}


@pytest.mark.parametrize("digits", [4, 5, 6, 8])
def test_register_that_rolls_over(write: Write, digits: int) -> None:
    """A register of n digits goes from 10^n - 0.25 to 0: all 299 intervals of 0.25 kWh are counted, none is missing."""
    readings = [(10**digits - 25 + 0.25 * i) % 10**digits for i in range(300)]
    record = read_record(write(file_of(readings)), "UTC")
    assert energy_kwh(record) == pytest.approx(0.25 * 299)
    assert (turned(record), record.gaps) == ({"over": 99}, ())


@pytest.mark.parametrize(
    ("later", "kind"),
    [
        # Set to nought far below its turning point, also at 999: three digits are fewer than any register has.
        ([0.25 * i for i in range(100)], "back"),
        # A meter that stood lower, and one that stood higher, by more than any supply carries in a quarter of an hour.
        ([3_456 + 0.25 * i for i in range(100)], "replaced"),
        ([812_000 + 0.25 * i for i in range(100)], "replaced"),
    ],
)
def test_register_set_to_nought_or_replaced(write: Write, later: list[float], kind: str) -> None:
    """What was used while it turned is unknown: 99 intervals before and 99 after, of 0.25 kWh each, and one missing."""
    record = read_record(write(file_of([12_000 + 0.25 * i for i in range(100)] + later)), "UTC")
    assert energy_kwh(record) == pytest.approx(0.25 * 198)
    assert turned(record) == {kind: 99}
    assert [gap.intervals for gap in record.gaps] == [1]


def test_a_fall_near_a_power_of_ten_is_no_roll_over_by_itself(write: Write) -> None:
    """From 9,990 to 40 would be 50 kWh in a quarter of an hour, where a quarter of one is usual: the meter was replaced."""
    readings = [9_965 + 0.25 * i for i in range(101)] + [40 + 0.25 * i for i in range(100)]
    record = read_record(write(file_of(readings)), "UTC")
    assert turned(record) == {"replaced": 100}
    assert energy_kwh(record) == pytest.approx(0.25 * 199)


def judged_forms(record: Record) -> list[tuple[float, float]]:
    """What each column of doubtful form rises by and adds up to."""
    told = [f.data for f in record.findings if f.code == "record.form-judged"]
    return [(float(str(one["risen"])), float(str(one["added"]))) for one in told]


def test_energies_that_happen_to_rise_are_asked_about(write: Write) -> None:
    """48 quarters from 10.00 by 0.05 are a register that rises by 2.35, or energies: 48 x 10 + 0.05 x (47 x 48 / 2) = 536.4."""
    record = read_record(write(file_of([10 + 0.05 * i for i in range(48)])), "UTC")
    assert judged_forms(record) == [(pytest.approx(2.35), pytest.approx(536.4))]
    (asked,) = [one for one in of_record(record) if one.about.code == "record.form-judged"]
    assert [choice.words for choice in asked.choices] == [
        "register in kWh: it rises by 2.35 kWh",
        "energy per interval in kWh: it adds up to 536.4 kWh",
    ]
    said = ColumnSpec.model_validate(asked.choices[1].entries["layout.columns"][0])
    record = read_record(write(file_of([10 + 0.05 * i for i in range(48)])), "UTC", LayoutSpec(columns=(said,)))
    assert (energy_kwh(record), judged_forms(record)) == (pytest.approx(536.4), [])


@pytest.mark.parametrize(
    ("readings", "name"),
    [
        # Twelve thousand times the step: no load is so even and yet only rises.
        ([12_000 + 1.0 * (i // 2) for i in range(24)], "kWh"),
        # 300 rises without a fall, the level 100 times each.
        ([25 + 0.25 * i for i in range(300)], "kWh"),
        # The name says it.
        ([10 + 0.05 * i for i in range(48)], "register kWh"),
        # Energies that fall as they rise.
        ([10 + 0.05 * (i % 5) for i in range(48)], "kWh"),
    ],
)
def test_a_form_that_is_plain_is_not_asked_about(write: Write, readings: list[float], name: str) -> None:
    """Far above its steps, hundreds of rises, the name, or falls settle the form."""
    record = read_record(write(file_of(readings).replace("kWh", name, 1)), "UTC")
    assert judged_forms(record) == []


def test_few_rows_above_their_steps_are_asked_about(write: Write) -> None:
    """A hundred rises at a hundred times the step may be a load that is slowly turned up."""
    assert judged_forms(read_record(write(file_of([25 + 0.25 * i for i in range(100)])), "UTC"))


def of_the_day(days: int, per_day: int, *, ahead: bool, sun: bool = False) -> list[float]:
    """Readings of a counter of the day; ``ahead`` counts the first step before it is read, ``sun`` counts in the middle only."""
    out = []
    for _ in range(days):
        count = 0.0
        for i in range(per_day):
            used = 0.25 + 0.125 * (i % 3) if not sun or per_day // 4 <= i < 3 * per_day // 4 else 0.0
            out.append(count + used if ahead else count)
            count += used
    return out


@pytest.mark.parametrize("per_day", [6, 24, 96])
@pytest.mark.parametrize(("ahead", "sun"), [(True, False), (False, False), (False, True), (True, True)])
def test_counter_of_the_day_is_a_register(write: Write, per_day: int, ahead: bool, sun: bool) -> None:
    """Ten days add up to what was counted, by a plain sum; a step that it did not see is missing, and no meter change is told."""
    readings = of_the_day(10, per_day, ahead=ahead, sun=sun)
    step = 86_400 // per_day
    stamps = [datetime.fromtimestamp(1_748_736_000 + i * step, UTC) for i in range(len(readings))]
    rows = [f"{stamp:%Y-%m-%d %H:%M}Z,{value:.3f}" for stamp, value in zip(stamps, readings, strict=True)]
    record = read_record(write("\n".join(["start,Energy kWh", *rows, ""])), "UTC")
    channel = record.channels[0]
    assert channel.meaning.form is Form.REGISTER
    codes = {one.code: one.data for one in record.findings}
    assert "record.register-back" not in codes
    assert codes["record.register-daily"]["count"] == 9
    day = [0.25 + 0.125 * (i % 3) if not sun or per_day // 4 <= i < 3 * per_day // 4 else 0.0 for i in range(per_day)]
    # Counting ahead, the first step of the record lies before it; else the last step of each day is never read.
    known = 10 * sum(day) - day[0] if ahead else 10 * sum(day[:-1])
    assert float(np.nansum(channel.series.values)) * step / 3.6e6 == pytest.approx(known, abs=2e-3)
    # In steps of four hours the count begins in the step beside midnight, and nothing tells that midnight's was idle.
    lost = 0 if (ahead or sun) and (ahead, sun, per_day) != (True, True, 6) else 9
    assert int(np.isnan(channel.series.values).sum()) == lost


def test_counter_of_the_day_by_its_name(write: Write) -> None:
    """Three days are enough where the name says that it counts the day."""
    readings = of_the_day(3, 6, ahead=True)
    rows = [f"2025-06-{1 + i // 6:02d} {i % 6 * 4:02d}:00,{value:.3f}" for i, value in enumerate(readings)]
    record = read_record(write("\n".join(["start,Energy today kWh", *rows, ""])), "UTC")
    assert record.channels[0].meaning.form is Form.REGISTER
    record = read_record(write("\n".join(["start,Energy kWh", *rows, ""])), "UTC")
    assert record.channels[0].meaning.form is Form.ENERGY


HOLES = [*range(100, 105), *range(190, 205), *range(300, 306)]
"""Hours without a row: within days, and across the midnights of the 8th and the 13th day."""


@pytest.mark.parametrize("name", ["Energy today kWh", "kWh"])
def test_counter_of_the_day_with_gaps(write: Write, name: str) -> None:
    """A count that begins anew each midnight loses the hours of its gaps and no others, and no midnight is told as a reset."""
    uses = [0.1 + 0.01 * (7 * hour % 13) for hour in range(21 * 24)]
    shown = [sum(uses[hour // 24 * 24 : hour + 1]) for hour in range(len(uses))]
    rows = [f"2025-06-{1 + h // 24:02d} {h % 24:02d}:00,{shown[h]:.3f}" for h in range(len(uses)) if h not in HOLES]
    record = read_record(write("\n".join([f"start,{name}", *rows, ""])), "UTC")
    told = {f.code for f in record.findings}
    assert "record.register-daily" in told
    assert not told & {"record.register-back", "record.register-replaced", "record.register-over"}
    # Readings at the start of an hour: what is shown at h + 1 and not at h was used in hour h + 1; without either it is unknown.
    known = [h for h in range(len(uses) - 1) if h not in HOLES and h + 1 not in HOLES]
    assert np.flatnonzero(record.channels[0].series.present).tolist() == known
    assert energy_kwh(record) == pytest.approx(sum(uses[h + 1] for h in known), abs=0.01)


def test_no_total_across_the_midnight_of_a_counter_of_the_day() -> None:
    """A gap within a day shows its energy; one across midnight does not, though the count stands higher after it."""
    shown = np.array([float(hour % 24) for hour in range(10 * 24)])
    shown[50:53] = np.nan  # 48 + 1 to 48 + 5: four hours of 1 kWh
    shown[97:135] = np.nan  # from 0 kWh at the start of a day to 15 kWh in the next
    meaning = Meaning(Quantity.ACTIVE_POWER, Form.REGISTER, "kWh", 1000.0, Phase.TOTAL, Direction.IMPORT, "invented")
    used, _ = used_between(shown, day=24.0)
    values = np.append(used, np.nan) * 1000
    series = Series(0, 3600, values, np.where(np.isnan(values), 255, 0).astype(np.uint8), shown)
    spans = known_spans(series, Channel("r", "r", "main", meaning, series), StampsMark.START)
    assert [(one.start_s // 3600, one.end_s // 3600, one.energy_kwh) for one in spans] == [(49, 53, 4.0)]


def test_two_resets_are_no_counter_of_the_day() -> None:
    """A register that was set to nought twice, ten days apart, is told as such."""
    raw = np.concatenate([1000 + np.arange(240.0), np.arange(240.0), np.arange(240.0)])
    assert [one.how for one in used_between(raw, day=24.0)[1]] == [Turn.NOUGHT, Turn.NOUGHT]

"""A look at a meter file: every answer it leaves open is tried, and what each would come to is worked out by hand."""

import numpy as np
import pytest

from wattwright.core.errors import RecordError
from wattwright.core.show import Show
from wattwright.job.answers import lines_of
from wattwright.job.look import MOST_CHOICES, Told, look_at
from wattwright.job.look_json import look_json
from wattwright.record.spec import ColumnSpec, LayoutSpec

DAY = [f"03/04/2025 {h:02d}:00" for h in range(24)]


@pytest.fixture
def write(tmp_path):
    def make(*rows: str):
        path = tmp_path / "meter.csv"
        path.write_text("\n".join([*rows, ""]), encoding="utf-8")
        return path

    return make


def answers(look, number=0):
    return [(one.choice.words, one.outcome) for one in look.asked[number].answers]


def test_open_dates_show_both_days(write) -> None:
    """24 hours of 1.5 kWh on 3 April or 4 March: nothing is read, and both readings are 36 kWh on their own day."""
    look = look_at(write("Stamp,kWh", *(f"{s},1.5" for s in DAY)), Told("UTC"), 60)
    assert look.is_open
    assert (look.record, look.outcome, len(look.completeness)) == (None, None, 0)
    assert np.isnan(look.part_s)
    day = int(np.datetime64("2025-04-03", "s").astype(int)), int(np.datetime64("2025-03-04", "s").astype(int))
    found = dict(answers(look))
    assert {words: (one.start_s, one.energy_kwh, one.highest) for words, one in found.items()} == {
        "day first": (day[0], 36.0, 1500.0),
        "month first": (day[1], 36.0, 1500.0),
    }


def test_an_answer_closes_the_question(write) -> None:
    """With the order said nothing is open, and the file is read."""
    told = Told("UTC", LayoutSpec(date_order="day first"))
    look = look_at(write("Stamp,kWh", *(f"{s},1.5" for s in DAY)), told, 60)
    assert (look.is_open, look.asked) == (False, ())
    assert look.outcome is not None
    assert (look.outcome.energy_kwh, look.outcome.share_read, look.part_s) == (36.0, 1.0, 3600.0)


def test_what_is_open_behind_an_open_question_is_asked_too(write) -> None:
    """Open dates, an open decimal mark and no zone make three questions, so that one round of answers is enough."""
    look = look_at(write("Stamp;kWh", *(f"{s};1,{200 + 7 * i % 24}" for i, s in enumerate(DAY))), Told(), 60)
    assert [one.question.about.code for one in look.asked] == [
        "record.date-order-open", "record.decimal-open", "record.zone-unknown",
    ]  # fmt: skip
    assert [one.energy_kwh for _, one in answers(look, 1)] == pytest.approx([1.2 * 24 + 0.276, 28800 + 276])
    assert lines_of(look.asked[2].question.hint) == ["[site]", 'zone = "Europe/Athens"']


def test_a_column_without_a_name_is_tried_as_power_and_as_energy(write) -> None:
    """600 in quarter hours for an hour is 0.6 kWh as W, 600 kWh as kW, 2.4 kWh as Wh an interval, 2,400 kWh as kWh."""
    rows = [f"2025-06-13 00:{m:02d},600" for m in (0, 15, 30, 45)]
    look = look_at(write("Stamp,P1", *rows), Told("UTC"), 60)
    assert [one.energy_kwh for _, one in answers(look)] == [0.6, 600.0, 2.4, 2400.0]
    assert answers(look)[0][0] == "mean in W"
    assert look.asked[0].answers[0].choice.option == '--column "P1=active power,mean,W"'


def test_what_was_assumed_is_asked_with_what_it_changes(write) -> None:
    """Six hours without a sign of which end they mark: taken as the start; as the end all lies an hour earlier."""
    look = look_at(write("Stamp,kWh", *(f"2025-06-13 {h:02d}:00,1.5" for h in range(3, 9))), Told("UTC"), 3)
    (start, first), (end, second) = answers(look)
    assert (start, end, first.start_s - second.start_s) == ("start", "end", 3600)
    assert look.completeness.tolist() == [1.0, 1.0, 1.0]
    assert not look.asked[0].question.is_open
    assert "start was assumed" in look.asked[0].question.asks(Show())


def test_a_guessed_unit_is_asked_about_its_own_column(write) -> None:
    """A reactive power up to 0.4 taken as kvar would be 0.4 var otherwise; the energy of the site is not shown for it."""
    rows = [f"2025-06-13 {h:02d}:00,1.5,0.{h % 4 + 1}" for h in range(24)]
    look = look_at(write("Stamp,P kW,reactive power", *rows), Told("UTC"), 60)
    assert [(words, one.highest, one.unit) for words, one in answers(look)] == [
        ("mean in kvar", 400.0, "var"), ("mean in var", 0.4, "var"),
    ]  # fmt: skip
    assert all(np.isnan(one.energy_kwh) for _, one in answers(look))


def test_a_power_factor_guessed_has_no_other_size(write) -> None:
    """A column that no list of units can answer is asked with a line to fill in; the file is read without it."""
    look = look_at(write("Stamp,kW,odd", *(f"2025-06-13 {h:02d}:00,1.5,{h * 7 % 5}.25" for h in range(24))), Told("UTC"), 60)
    asked = look.asked[0].question
    assert (asked.choices, lines_of(asked.hint)[0]) == ((), "[[files.layout.columns]]")


def test_several_powers_ask_for_the_site(write) -> None:
    """Two whole powers: the first was taken, the other would be 48 kWh instead of 36."""
    path = write("Stamp,A kW,B kW", *(f"2025-06-13 {h:02d}:00,1.5,2" for h in range(24)))
    look = look_at(path, Told("UTC"), 60)
    assert [(words, one.energy_kwh) for words, one in answers(look)] == [("A kW", 36.0), ("B kW", 48.0)]
    assert look.asked[0].answers[1].choice.option == '--channel "b-kw"'
    again = look_at(path, Told("UTC", channel="b-kw"), 60)
    assert again.outcome is not None
    assert again.outcome.energy_kwh == 48.0


def test_several_meters_are_asked_for_a_dozen_at_most(write) -> None:
    """A long table of 14 meters asks which one, with the outcome of the first twelve."""
    rows = [f"2025-06-13 {h:02d}:00,m{meter:02d},{meter}" for meter in range(14) for h in range(24)]
    look = look_at(write("Stamp,Meter,kWh", *rows), Told("UTC"), 60)
    assert look.is_open
    found = answers(look)
    assert len(found) == MOST_CHOICES
    assert [one.energy_kwh for _, one in found[:3]] == [0.0, 24.0, 48.0]


def test_an_answer_that_cannot_be_says_why(write) -> None:
    """Stamps within the skipped hour were read as standard time; the site's own clock refuses or moves them, and it is told."""
    rows = [f"2025-03-30 {h:02d}:00,1.5" for h in range(24)]
    look = look_at(write("Stamp,kWh", *rows), Told("Europe/Athens"), 60)
    asked = next(one for one in look.asked if one.question.about.code == "record.standard-time")
    taken, other = asked.answers
    assert taken.outcome is not None
    assert taken.choice.words == "standard time"
    assert (other.outcome is None) == bool(other.refused)


def test_thousands_ask_for_the_other_mark(write) -> None:
    """1,234 among whole numbers was read as 1234; with the comma as decimal mark it would be 1.234, the highest then 999."""
    rows = [f"2025-06-13 {h:02d}:00;{'1,234.5' if h == 5 else 999}" for h in range(24)]
    look = look_at(write("Stamp;P W", *rows), Told("UTC"), 60)
    asked = next(one for one in look.asked if one.question.about.code == "record.thousands")
    assert [one.choice.words for one in asked.answers] == [".", ","]
    assert asked.answers[0].outcome is not None
    assert asked.answers[0].outcome.highest == 1234.5


def test_damage_is_no_question(write) -> None:
    """Text where a number should stand is refused as ever."""
    with pytest.raises(RecordError, match="expected a number"):
        look_at(write("Stamp,kWh", *(f"2025-06-13 {h:02d}:00,{'x' if h == 3 else 1}" for h in range(24))), Told("UTC"), 60)


def test_told_columns_are_kept_beside_an_answer(write) -> None:
    """What was said about one column stays when another is answered, and an answer replaces what was said about its own."""
    said = LayoutSpec(columns=(ColumnSpec(column="T", quantity="temperature"), ColumnSpec(column="P1", quantity="voltage")))
    path = write("Stamp,P1,T", *(f"2025-06-13 {h:02d}:00,600,20" for h in range(24)))
    look = look_at(path, Told("UTC", LayoutSpec(columns=said.columns[:1])), 60)
    assert look.outcome is not None
    assert (look.outcome.unit, look.outcome.highest, look.outcome.missing) == ("degC", 20.0, 0)
    choice = look_at(path, Told("UTC"), 4).asked[0].answers[0].choice
    assert [one.column for one in Told("UTC", said).with_answer(choice).layout.columns] == ["T", "P1"]


def test_json_holds_every_reading(write) -> None:
    """A program finds both readings, the option and the lines for each; an answered file has its record and rows."""
    path = write("Stamp,kWh", *(f"{s},1.5" for s in DAY))
    told = look_json(look_at(path, Told("UTC"), 60), Show())
    assert told["record"] is None
    (question,) = told["questions"]
    assert [one["reading"]["first"][:10] for one in question["answers"]] == ["2025-04-03", "2025-03-04"]
    assert question["answers"][0]["job_lines"] == ["[files.layout]", 'date_order = "day first"']
    read = look_json(look_at(path, Told("UTC", LayoutSpec(date_order="day first")), 4), Show())
    assert read["record"]["rows"] == 24
    assert read["reading"]["energy_kwh"] == 36.0
    assert read["first_rows"][0] == {"number": 2, "text": "03/04/2025 00:00 | 1.5"}
    assert read["last_rows"][-1] == {"number": 25, "text": "03/04/2025 23:00 | 1.5"}
    assert read["completeness"] == [1.0] * 4


def test_a_short_file_shows_each_row_once(write) -> None:
    """Four rows: three at the head, one at the end."""
    look = look_at(write("Stamp,kWh", *(f"2025-06-13 0{h}:00,1.5" for h in range(4))), Told("UTC"), 60)
    assert look.record is not None
    shown = [*look.record.layout.first_rows, *look.record.layout.last_rows]
    assert [number for number, _ in shown] == [2, 3, 4, 5]


def test_readings_at_no_step_may_be_held(write) -> None:
    """A file whose step changes is asked about: held, 10 readings of 1 kW an hour apart and 30 a quarter apart are read."""
    stamps = [f"2025-06-13 {h:02d}:00" for h in range(10)]
    stamps += [f"2025-06-13 {10 + q // 4:02d}:{15 * (q % 4):02d}" for q in range(40)]
    look = look_at(write("Stamp,P kW", *(f"{s},{1 + i % 2}" for i, s in enumerate(stamps))), Told("UTC"), 60)
    assert look.is_open
    (one,) = look.asked[0].answers
    assert one.choice.option == '--hold "1 min"'
    assert one.outcome is not None
    assert one.outcome.step_s == 60
    # Ten hours of 1 and 2 kW by turns, then ten hours of quarters of which half are 1 and half 2 kW, less the last quarter.
    assert one.outcome.energy_kwh == pytest.approx(15 + 15, abs=0.6)

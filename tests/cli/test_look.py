"""record --look: one screen, its JSON, and answers put into the job file."""

import json
from pathlib import Path
from unicodedata import category

import pytest

from wattwright.job.file import load_job

OPEN = "Stamp,kWh\n" + "".join(f"03/04/2025 {h:02d}:00,1.5\n" for h in range(24))
PLAIN = "Stamp,kWh\n" + "".join(f"2025-06-{13 + h // 24} {h % 24:02d}:00,{1.5 if h % 5 else ''}\n" for h in range(3, 40))


@pytest.fixture
def files(place, monkeypatch):
    monkeypatch.setenv("COLUMNS", "120")
    (place / "open.csv").write_text(OPEN)
    (place / "plain.csv").write_text(PLAIN)
    return place


def test_screen_says_what_the_file_is_and_what_it_leaves_open(wattwright, files) -> None:
    """Layout, channels, completeness, rows as they stand, findings, and the question with both answers and its lines."""
    done = wattwright("record", "plain.csv", "--zone", "Europe/Athens", "--look")
    assert done.code == 0
    for words in (
        "stamps mark", "complete", "█", "·", "first rows", "2025-06-13 03:00 | 1.5", "last rows", "the start was assumed",
        "start (taken)", '--stamps "end"', "[files.layout]", 'stamps = "start"', "look  7 of 37 intervals",
    ):  # fmt: skip
        assert words in done.out
    assert done.out.count("start was assumed") == 1  # asked, and not told a second time as a finding


def test_a_file_that_leaves_nothing_open_says_so(wattwright, files) -> None:
    """The order of the dates said, one whole day shows the rest."""
    done = wattwright("record", "open.csv", "--zone", "Europe/Athens", "--date-order", "day first", "--look")
    assert "Nothing about this file is left open." in done.out


def test_rows_stand_as_in_the_file(wattwright, files) -> None:
    """Noughts that close a number are shown as the file has them, in the first rows and in the last."""
    rows = [f"2025-06-13 {h:02d}:00,{h % 7}.{h:02d}0" for h in range(24)]
    (files / "noughts.csv").write_text("\n".join(["Stamp,kW", *rows, ""]))
    out = wattwright("record", "noughts.csv", "--zone", "Europe/Athens", "--look").out
    assert "2025-06-13 02:00 | 2.020" in out
    assert "2025-06-13 23:00 | 2.230" in out


def test_nothing_is_settled_under_a_grave_finding(wattwright, files) -> None:
    """Where a finding puts a figure in doubt, here a single spike, no sentence below it says that nothing is open."""
    rows = [f"2025-06-13 {h:02d}:00,{9 if h == 5 else 1.5}" for h in range(24)]
    (files / "spike.csv").write_text("\n".join(["Stamp,kW", *rows, ""]))
    done = wattwright("record", "spike.csv", "--zone", "Europe/Athens", "--stamps", "start", "--look")
    assert "Settle the findings above" in done.out
    assert "left open" not in done.out


def test_open_question_shows_both_readings_and_ends_with_one(wattwright, files) -> None:
    """Nothing is read, both days stand there, and the code is that of bad input without a second message."""
    done = wattwright("record", "open.csv", "--zone", "Europe/Athens", "--look")
    assert (done.code, done.err) == (1, "")
    assert "can be read in more than one way" in done.out
    for words in ("2025-04-03 00:00", "2025-03-04 00:00", '--date-order "day first"', 'date_order = "day first"'):
        assert words in done.out


def test_json_returns_both_readings(wattwright, files) -> None:
    """A program gets both readings, also while one is open."""
    done = wattwright("record", "open.csv", "--look", "--json")
    told = json.loads(done.out)
    assert (done.code, told["schema"]) == (1, "wattwright.look/1")
    assert [one["reading"]["energy_kwh"] for one in told["files"][0]["questions"][0]["answers"]] == [36.0, 36.0]


def test_an_impossible_answer_is_told_under_the_table(wattwright, files) -> None:
    """Ten thousand million of an unnamed column can be W and no meter's kW: the answer is shown with the reason."""
    rows = [f"2025-06-13 {h:02d}:00,1e10" for h in range(24)]
    (files / "huge.csv").write_text("\n".join(["Stamp,P1", *rows, ""]))
    done = wattwright("record", "huge.csv", "--zone", "Europe/Athens", "--look")
    assert "mean in kW: cannot be read so. huge.csv, line 2" in done.out


def test_answers_go_into_the_job_that_names_the_file(wattwright, files) -> None:
    """From the meter file: what was said is an entry, what was assumed a comment, and the JSON way says nothing more."""
    job = files / "job"
    (job / "readings.csv").write_text(OPEN)
    given = ("record", "job/readings.csv", "--look", "--write", "--date-order", "day first", "--zone", "Europe/Athens")
    assert "entries written: 2" in wattwright(*given).out
    assert load_job(job).spec.files[0].layout.date_order == "day first"
    held = (job / "job.toml").read_bytes()
    assert "nothing to write, it says so already" in wattwright(*given).out
    assert (job / "job.toml").read_bytes() == held
    told = json.loads(wattwright(*given, "--json").out)
    assert told["files"][0]["reading"]["energy_kwh"] == 36.0


def test_answers_from_the_job_itself(wattwright, files) -> None:
    """The file is named by its id; assumed answers are left there as comments and stay assumed."""
    job = files / "job"
    (job / "sub.csv").write_text(PLAIN)
    text = (job / "job.toml").read_text()
    (job / "job.toml").write_text(text.replace('stamps = "start"', ""))
    done = wattwright("record", "job", "--look", "--write", "--file", "sub-readings", "--unreadable", "missing")
    assert "entries written: 1" in done.out
    assert "left there as comments" in done.out
    assert load_job(job).spec.files[1].layout.unreadable == "missing"
    assert load_job(job).spec.files[1].layout.stamps == ""


def test_nothing_is_written_while_a_question_is_open(wattwright, files) -> None:
    """The job file stays as it was."""
    job = files / "job"
    (job / "readings.csv").write_text(OPEN)
    before = (job / "job.toml").read_text()
    assert wattwright("record", "job", "--look", "--write").code == 1
    assert (job / "job.toml").read_text() == before


@pytest.mark.parametrize(
    ("given", "says"),
    [
        (("plain.csv", "--write"), "belong to --look"),
        (("plain.csv", "--file", "x"), "belong to --look"),
        (("plain.csv", "--look", "--file", "x"), "names a file of a job"),
        (("job", "--look", "--file", "x"), "There are: main-readings, sub-readings"),
        (("job", "--look", "--stamps", "end"), "Say with --file"),
        (("plain.csv", "--look", "--write"), "wattwright new . --record plain.csv"),
        (("plain.csv", "--look", "--stamps", "middle"), '--stamps: found "middle"'),
    ],
)
def test_contradicting_options_are_refused(wattwright, files, given, says) -> None:
    """Each says what is wrong and ends with the code of wrong usage."""
    (files / "job" / "sub.csv").write_text(PLAIN)
    done = wattwright("record", *given)
    assert done.code == 2
    assert says in done.err


def test_plain_json_returns_both_readings_too(wattwright, files) -> None:
    """Without --look a program gets the error with every reading beside it; damage that no answer mends stays an error alone."""
    done = wattwright("record", "open.csv", "--json")
    assert (done.code, done.err) == (1, "")
    told = json.loads(done.out)
    assert (told["error"], told["faults"][0]["code"]) == ("RecordError", "record.date-order-open")
    looked = json.loads(wattwright("record", "open.csv", "--look", "--json").out)
    assert told["files"] == looked["files"]
    assert [one["option"] for one in told["files"][0]["questions"][0]["answers"]] == [
        '--date-order "day first"',
        '--date-order "month first"',
    ]
    (files / "bad.csv").write_text(PLAIN.replace(",1.5\n", ",1.5x\n", 1))
    done = wattwright("record", "bad.csv", "--json")
    assert (done.code, done.out) == (1, "")
    assert json.loads(done.err)["faults"][0]["code"] == "record.number"


def test_plain_json_of_a_job_names_the_files_that_are_open(wattwright, files) -> None:
    """Of three files of a job one is open, one is sound and one is damaged: the readings are told of the first alone."""
    (files / "bad.csv").write_text(PLAIN.replace(",1.5\n", ",1.5x\n", 1))
    entries = "".join(f'[[files]]\nid = "{name}"\npath = "{name}.csv"\nmeter = "main"\n' for name in ("open", "plain", "bad"))
    job = 'version = 1\nname = "Three"\n[site]\nzone = "Europe/Athens"\n[papers]\ndate = 2025-07-01\n[[meters]]\nid = "main"\n'
    (files / "three").mkdir()
    for name in ("open", "plain", "bad"):
        (files / f"{name}.csv").rename(files / "three" / f"{name}.csv")
    (files / "three" / "job.toml").write_text(job + entries)
    done = wattwright("record", "three", "--json")
    assert [one["name"] for one in json.loads(done.out)["files"]] == ["open.csv"]


def test_hint_for_an_unknown_column_proposes_no_quantity(wattwright, files) -> None:
    """No quantity is likelier than another: the line to fill in names them all."""
    rows = "".join(f"2025-06-13 {h:02d}:00,1.5,{10 + h % 7}\n" for h in range(24))
    (files / "two.csv").write_text("Stamp,kWh,Thing\n" + rows)
    said = wattwright("record", "two.csv", "--zone", "Europe/Athens", "--look").out
    line = " ".join(said.partition('quantity = "')[2].split())
    assert all(name in line for name in ("active power", "voltage", "temperature", "soil moisture"))


@pytest.mark.parametrize("verb", [("record",), ("record", "--look"), ("demand",)])
@pytest.mark.parametrize("cell", ["1.5", "\x1b[31m1.5"], ids=["read", "refused"])
def test_no_file_commands_the_terminal(wattwright, verb, cell):
    """Neither the names in a file, nor its own name, nor an error about it holds a control character when it is shown."""
    rows = [f"2025-06-01 {hour:02d}:00,{cell},\x1b[2Jhot" for hour in range(24)]
    Path("name\x1b[31m.csv").write_text("\n".join(["note\x1b[31m", "start,k\x1b[31m kW,no\x9bte", *rows, ""]))
    done = wattwright(*verb, "name\x1b[31m.csv", "--zone", "UTC")
    assert done.out or done.err
    assert not {one for one in done.out + done.err if category(one) == "Cc"} - {"\n"}

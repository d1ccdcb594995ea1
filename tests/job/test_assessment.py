"""One small job from file to bill, with what is made again and what comes back from disk."""

import os
import re
import subprocess
import sys
from dataclasses import fields, is_dataclass
from datetime import date
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest

from tests.job.hand import JOB, TARIFF, readings, write_job
from wattwright.core.errors import Cancelled, FileError, JobError, RecordError, TariffError
from wattwright.core.frozen import pack, unpack
from wattwright.core.progress import Reporting
from wattwright.demand.analyse import Demand
from wattwright.job.assessment import Assessment, job_of_file
from wattwright.job.cache import FOLDER
from wattwright.job.costs import chosen, usage_of
from wattwright.job.file import change_job, load_job
from wattwright.job.graph import State
from wattwright.record.record import Record
from wattwright.record.spec import LayoutSpec
from wattwright.tariff.compare import Comparison


@pytest.fixture
def folder(tmp_path):
    return write_job(tmp_path / "job")


def assess(folder, **options):
    return Assessment(load_job(folder), **options)


def test_small_job_from_file_to_bill(folder):
    """Two days of half a kilowatt-hour an hour: 24 kWh, mean and maximum 500 W; 24 x 0.20 + 2 x 0.10 = 5.00 EUR."""
    assessment = assess(folder)
    summary = assessment.demand().summary
    assert (summary.energy_kwh, summary.mean_w, summary.maximum.power_w, summary.load_factor) == (24, 500, 500, 1)
    costs = assessment.costs()
    assert (costs.currency, costs.tariffs[0].total) == ("EUR", Decimal("5.00"))
    assert assessment.record("sub-readings").main.series.values.tolist() == [250.0] * 48
    assert assessment.show.zone == "Europe/Athens"
    assert set(assessment.states()) == {"record-main-readings", "record-sub-readings", "power", "demand", "peaks", "costs"}


def test_findings_of_every_stage_stand_gravest_first(folder):
    """Findings of record, demand and bill are together, stops before looks before notes."""
    found = assess(folder).findings()
    assert {one.code.split(".")[0] for one in found} >= {"record", "demand"}
    order = [("stop", "look", "note").index(one.severity.value) for one in found]
    assert order == sorted(order)


def test_public_holidays_of_the_site_are_days_off(folder):
    """6 January is a holiday in Greece (Epiphany), 7 January 2025 a Tuesday: one day off and one working day."""
    assert assess(folder).demand().days.day_type.tolist() == [2, 0]
    change_job(folder, {"site.country": ""})
    assert assess(folder).demand().days.day_type.tolist() == [0, 0]


@pytest.mark.parametrize(
    ("change", "stale"),
    [
        ({"papers.revision": "B", "name": "Other", "papers.locale": "de_DE"}, set()),
        ({"site.latitude": -37.1}, {"demand"}),
        ({"limit": {"power": "9 kW"}}, {"peaks"}),
        ({"tariff.compare": ["two"]}, {"costs"}),
        ({"files.0.channel": "Energy kWh"}, {"record-main-readings", "power", "demand", "peaks", "costs"}),
        ({"site.zone": "Europe/Paris"}, {"record-main-readings", "record-sub-readings", "power", "demand", "peaks", "costs"}),
        ({"files.1.layout.stamps": "end"}, {"record-sub-readings"}),
    ],
)
def test_changed_entry_makes_stale_what_rests_on_it(folder, change, stale):
    """How papers look changes no result; everything else makes stale its own stages and those above, and no others."""
    before = assess(folder)
    for name in before.graph.names():
        before.graph.result(name)
    change_job(folder, change)
    states = assess(folder).states()
    assert {name for name, state in states.items() if state is not State.READY} == stale
    assert all(states[name] is State.STALE for name in stale)


@pytest.mark.parametrize(
    ("name", "text", "stale"),
    [
        ("readings.csv", readings(0.75), {"record-main-readings", "power", "demand", "peaks", "costs"}),
        ("tariff.toml", TARIFF.replace("0.20", "0.25"), {"costs"}),
    ],
)
def test_changed_file_makes_stale_what_rests_on_it(folder, name, text, stale):
    """A file is known by its content: what was made from it is made again, and the new result is the new file's."""
    before = assess(folder)
    for one in before.graph.names():
        before.graph.result(one)
    (folder / name).write_text(text)
    after = assess(folder)
    assert {one for one, state in after.states().items() if state is not State.READY} == stale
    # 48 x 0.75 = 36 kWh at 0.20, or 24 kWh at 0.25, and two days at 0.10
    assert after.costs().tariffs[0].total == (Decimal("7.40") if name == "readings.csv" else Decimal("6.20"))


def test_damaged_store_is_made_again(folder):
    """Every stored result broken: the same figures come out, and the store is good again."""
    first = assess(folder).costs()
    for path in (folder / FOLDER).iterdir():
        path.write_bytes(b"broken")
    assert assess(folder).costs() == first
    assert assess(folder).states()["costs"] is State.READY


def test_nothing_is_written_where_nothing_is_to_be_kept(folder):
    """Without keeping, the folder is as it was."""
    before = sorted(folder.rglob("*"))
    assess(folder, keep=False).costs()
    assert sorted(folder.rglob("*")) == before


def test_stopped_reading_leaves_nothing(folder):
    """A person who stops the reading finds no half result."""
    with pytest.raises(Cancelled):
        assess(folder, progress=Reporting(lambda *_: None, lambda: True)).demand()
    assert not (folder / FOLDER).exists()


def same(one, other):
    """Plain twin of equality: field by field, arrays by kind and content, NaN equal to itself."""
    if isinstance(one, np.ndarray):
        return one.dtype == other.dtype and np.array_equal(one, other, equal_nan=one.dtype.kind == "f")
    if type(one) is not type(other):
        return False
    if is_dataclass(one):
        return all(same(getattr(one, field.name), getattr(other, field.name)) for field in fields(one))
    if isinstance(one, tuple):
        return len(one) == len(other) and all(map(same, one, other))
    return one == other or (one != one and other != other)


@pytest.mark.parametrize(("stage", "kind"), [("record-main-readings", Record), ("demand", Demand), ("costs", Comparison)])
def test_results_of_the_stages_come_back_from_disk(folder, stage, kind):
    """Record, demand and bills are equal after the way to disk and back, and the same bytes again."""
    lines = readings().splitlines()
    (folder / "readings.csv").write_text("\n".join([*lines[:10], *lines[12:]]) + "\n")  # two hours missing
    result = assess(folder).graph.result(stage)
    held = pack(result)
    back = unpack(held, kind)
    assert same(result, back)
    assert pack(back) == held
    assert same(assess(folder).graph.result(stage), result)


PROGRAM = """
import sys
from pathlib import Path
from wattwright.job.assessment import Assessment
from wattwright.job.file import load_job
graph = Assessment(load_job(Path(sys.argv[1]))).graph
print([graph.fingerprint_of(name) for name in graph.names()])
"""


def test_fingerprints_are_the_same_in_every_process(folder, root):
    """Whatever Python's hashing does, a later run knows the results of an earlier one."""
    told = set()
    for seed in ("0", "77"):
        environment = {**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(root / "src")}
        command = [sys.executable, "-c", PROGRAM, str(folder)]
        told.add(subprocess.run(command, env=environment, capture_output=True, text=True, check=True).stdout)
    graph = assess(folder).graph
    assert told == {f"{[graph.fingerprint_of(name) for name in graph.names()]}\n"}


def without(text, begin, end):
    return text[: text.index(begin)] + text[text.index(end) :]


def test_job_without_readings_says_so(tmp_path):
    """Asked for demand, record or costs before there is a file, the job names the entry that is lacking."""
    folder = write_job(tmp_path, without(JOB, "[[files]]", "[tariff]"))
    for asked in ("demand", "record", "costs"):
        with pytest.raises(JobError, match=r"Add a \[\[files\]\] entry") as refused:
            getattr(assess(folder), asked)()
        assert refused.value.faults[0].code == "job.no-files"


def test_job_without_tariff_says_so(tmp_path):
    """Without a tariff there is demand and no bill."""
    folder = write_job(tmp_path, JOB.replace('files = ["tariff.toml"]', ""))
    assessment = assess(folder)
    assert not assessment.has_tariff
    assert assessment.findings()
    with pytest.raises(JobError, match=r'Write files = \["tariff\.toml"\] under \[tariff\]'):
        assessment.costs()


def test_missing_files_are_told(folder):
    """A meter file or tariff that is not there is a file error with its path, also when only the state is asked."""
    (folder / "tariff.toml").unlink()
    with pytest.raises(FileError, match=r"tariff\.toml"):
        assess(folder).costs()
    (folder / "readings.csv").unlink()
    with pytest.raises(FileError, match=r"readings\.csv"):
        assess(folder).states()


def test_tariffs_are_chosen_by_id(folder):
    """The one paid comes first, then those named; without a name the first of the file."""
    path = folder / "tariff.toml"
    assert [one.id for one in chosen([path], "", ["two"])] == ["one", "two"]
    assert [one.id for one in chosen([path], "two", ())] == ["two"]


def test_tariff_that_is_not_there_or_twice_is_refused(folder):
    """An id that no file has is told with those there are; one that stands in two files with the second."""
    path = folder / "tariff.toml"
    with pytest.raises(TariffError, match='found "three"; expected the id of a tariff in the tariff files: one, two'):
        chosen([path], "three", ())
    again = folder / "again.toml"
    again.write_text(TARIFF)
    with pytest.raises(TariffError, match='the id "one" again') as refused:
        chosen([path, again], "", ())
    assert refused.value.faults[0].place.file == str(again)


def test_usage_holds_what_was_read_beside_import(tmp_path):
    """Export and reactive power of the whole supply go to the tariff; those of one conductor do not."""
    (tmp_path / "m.csv").write_text(
        "when,import kW,export kW,reactive kvar\n" + "".join(f"2025-01-06 {h:02d}:00,2,1,0.5\n" for h in range(24))
    )
    job = job_of_file(tmp_path / "m.csv", "Europe/Athens", LayoutSpec(stamps="start"), "", date(2025, 1, 1))
    usage = usage_of(Assessment(job, keep=False).record())
    assert usage.imported.values[0] == 2000
    assert usage.exported.values[0] == 1000
    assert usage.reactive.values[0] == 500
    assert usage.apparent is None


def test_bare_file_is_a_job_of_its_own(tmp_path):
    """A file of any name is worked out without a job; with no zone its clock never changes, and that is said."""
    path = tmp_path / ("r" * 120 + ".csv")
    path.write_text(readings())
    assessment = Assessment(job_of_file(path, "", LayoutSpec(), "", date(2025, 1, 1)), keep=False)
    assert assessment.demand().summary.energy_kwh == 24
    assert "record.zone-unknown" in {one.code for one in assessment.findings()}
    assert assessment.job.spec.main_file().id == "readings"


@pytest.mark.parametrize(("entry", "field"), [('paid = "nobody"', "tariff.paid"), ('compare = ["nobody"]', "tariff.compare[1]")])
def test_unknown_tariff_is_named_where_it_stands(folder, entry, field):
    """An id of a tariff that no file has is refused at its place in the job file."""
    job = folder / "job.toml"
    text = re.sub(r"(?m)^(paid|compare) = .*\n", "", job.read_text())
    job.write_text(text.replace("[tariff]\n", f"[tariff]\n{entry}\n"))
    with pytest.raises(TariffError) as refused:
        assess(folder).costs()
    place = refused.value.faults[0].place
    assert (place.field, Path(place.file).name) == (field, "job.toml")
    assert job.read_text().splitlines()[place.line - 1] == entry


def test_findings_are_of_every_file(folder):
    """What is found in a sub-meter's file is told with the rest, and a file that cannot be read is not passed over."""
    assessment = assess(folder)
    told = {finding.where.split(",")[0] for finding in assessment.findings()}
    assert {Path(file.path).name for file in assessment.job.spec.files} <= told
    (folder / assessment.job.spec.files[1].path).write_text("garbage\n")
    with pytest.raises(RecordError):
        assess(folder).findings()


def sunny_job(folder, site: str):
    """A month of half hours whose export lies about noon of the wrong clock: two hours late in Athens."""
    times = np.datetime64("2025-01-06T00:00") + np.arange(28 * 48) * np.timedelta64(30, "m")
    hours = np.arange(28 * 48) / 2 % 24
    bell = 4 * np.maximum(np.cos((hours + 0.25 - 14.55) * np.pi / 9.2), 0) * (np.abs(hours - 14.55) < 4.6)
    rows = [f"{str(at).replace('T', ' ')},{value:.3f}" for at, value in zip(times.tolist(), bell.tolist(), strict=True)]
    folder.mkdir()
    (folder / "sun.csv").write_text("\n".join(["start,Export kW", *rows, ""]))
    head = f'name = "Sun"\n[site]\nzone = "Europe/Athens"\n{site}\n[papers]\ndate = 2025-03-01\n'
    files = '[[meters]]\nid = "main"\n[[files]]\nid = "sun"\npath = "sun.csv"\nmeter = "main"\n'
    (folder / "job.toml").write_text(head + files)
    return assess(folder)


def test_clock_is_held_against_the_sun_of_the_place(tmp_path):
    """With latitude and longitude the stage of the record says that generation lies two hours behind the sun."""
    record = sunny_job(tmp_path / "placed", "latitude = 38.0\nlongitude = 23.7").record()
    (found,) = (f for f in record.findings if f.code == "record.sun-shift")
    assert found.data["hours"] == pytest.approx(2, abs=0.3)


def test_sun_is_not_asked_without_a_longitude(tmp_path):
    """Without a longitude a note says that the clock was not held against the sun."""
    found = [f.code for f in sunny_job(tmp_path / "nowhere", "latitude = 38.0").record().findings]
    assert "record.sun-unchecked" in found
    assert "record.sun-shift" not in found


def test_longitude_needs_a_latitude(tmp_path):
    """A longitude alone is refused: sunrise depends on both."""
    with pytest.raises(JobError, match="the latitude beside the longitude"):
        sunny_job(tmp_path / "half", "longitude = 23.7")


@pytest.mark.parametrize("way", ["up", "absolute", "link", "within"])
def test_file_outside_of_the_folder_is_told(tmp_path, way):
    """A meter file that a copy of the folder would not hold has a note, by which way it leads out; one within has none."""
    inside, outside = tmp_path / "job", tmp_path / "elsewhere"
    inside.mkdir()
    outside.mkdir()
    held = inside if way == "within" else outside
    (held / "readings.csv").write_text(readings())
    if way == "link":
        (inside / "readings.csv").symlink_to(outside / "readings.csv")
    path = {"up": "../elsewhere/readings.csv", "absolute": str(outside / "readings.csv")}.get(way, "readings.csv")
    (inside / "job.toml").write_text(JOB.replace('"readings.csv"', f'"{path}"'))
    found = [one for one in Assessment(load_job(inside)).record().findings if one.code == "job.outside-folder"]
    assert [one.data["link"] for one in found] == {"within": [], "link": [" by a link"]}.get(way, [""])
    assert [one.severity.value for one in found] == ["note"] * len(found)


def test_file_alone_is_in_no_folder(tmp_path):
    """A meter file without a job is never outside of one, whatever folder it lies in."""
    (tmp_path / "readings.csv").write_text(readings())
    (tmp_path / "link.csv").symlink_to(tmp_path / "readings.csv")
    job = job_of_file(tmp_path / "link.csv", "Europe/Athens", LayoutSpec(), "", date(2025, 7, 1))
    assert not [one for one in Assessment(job, keep=False).record().findings if one.code == "job.outside-folder"]

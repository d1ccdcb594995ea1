"""The sections on the promise and its proof: from the frozen part and the record given last, and none where there is neither."""

from dataclasses import replace

import numpy as np
import pytest

from tests.job.proved import assessed, copied, write_job
from tests.proof.test_acted import load as planned_load
from wattwright.handover.left_over import residuals
from wattwright.handover.paper import Caution, MarginNote, PictureBlock, TableBlock
from wattwright.handover.proved import promised, proved
from wattwright.handover.report import context_of, report
from wattwright.job.freezing import freeze
from wattwright.job.proving import prove
from wattwright.job.unsealing import what_is_broken
from wattwright.proof.course import Acted, Course

PROMISE, PROOF = "What was promised, and how it will be proved", "What was saved, and how sure that is"


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A job whose promise is frozen, and for which a record of twenty weeks was given."""
    folder = write_job(tmp_path_factory.mktemp("proved"), after_days=140)
    freeze(assessed(folder))
    job = assessed(folder, keep=True)
    job.keep_proof(prove(job, folder / "after.csv"))
    return folder


def test_the_report_tells_both(folder):
    """The promise with its plan and fingerprint, then what was found with picture, tables, caution and findings beside."""
    paper = report(assessed(folder, keep=True))
    sections = {one.title: one for one in paper.sections}
    job = assessed(folder, keep=True)
    assert sections[PROMISE].lead.startswith("Nothing is promised")
    told = sections[PROOF]
    assert "no claim yet" in told.lead
    assert [type(one) for one in told.blocks[:4]] == [PictureBlock, TableBlock, TableBlock, Caution]
    assert any(isinstance(one, MarginNote) and one.code == "proof.early" for one in told.blocks)
    assert job.proof().fingerprint[:16] in str(sections[PROMISE].blocks)
    assert not told.blocks[0].picture.source.endswith(".")
    running = told.blocks[1].table
    assert [row[0] for row in running.rows][-1] == "19 May 2024"
    assert len(running.rows) == 5
    left = next(one for one in paper.sections if one.title == "How well the model of the baseline fits")
    assert left.blocks[0].picture.id == "proof-residuals"
    assert "mean outdoor temperature" in str(left.blocks[0].picture.spec)


def test_residuals_have_tables(folder):
    """Fifths by temperature hold all days between them, and their means weigh up to the mean of all; lags are those drawn."""
    context = context_of(assessed(folder, keep=True))
    of = context.proof.residuals
    fifths, lags = (one.table for one in residuals(context).blocks if isinstance(one, TableBlock))
    assert fifths.columns[0].head == "mean outdoor temperature, °C"
    days = residuals(context).blocks[0].picture.reading.plots()[0].columns
    assert [one.rpartition(" ")[2] for one in days[::120]] == ["0", "120", "240", "360"]  # two changes of the clock between them
    counts = [int(row[2]) for row in fifths.rows]
    assert sum(counts) == len(of.left_kwh)
    lows, highs = ([row[at].value for row in fifths.rows] for at in (0, 1))
    assert (lows[0], highs[-1]) == (of.mean_c.min(), of.mean_c.max())
    assert all(high <= low for high, low in zip(highs, lows[1:], strict=False))
    weighed = sum(count * row[3].value for count, row in zip(counts, fifths.rows, strict=True))
    assert weighed == pytest.approx(of.left_kwh.sum(), abs=1e-6)
    assert [(row[0], row[1].value) for row in lags.rows] == [(str(lag), of.alike[lag - 1]) for lag in (1, 2, 3, 7, 14, 21)]


def test_residuals_without_temperature_stand_beside_what_was_told(folder):
    """A model that knows no temperature is shown beside the energy that it tells."""
    context = context_of(assessed(folder, keep=True))
    of = context.proof.residuals
    cold = replace(of, mean_c=np.full(len(of.mean_c), np.nan))
    section = residuals(replace(context, proof=replace(context.proof, residuals=cold)))
    assert "told by the model" in str(section.blocks[0].picture.spec)
    assert residuals(replace(context, proof=None)) is None


def test_planned_loads_have_a_table(folder):
    """What became of planned loads stands in a table of its own; a single week has no picture."""
    context = context_of(assessed(folder, keep=True))
    one = Acted(planned_load().name, Course.MOVED, 3000.0, 0.0, 90, 40, 1, 3600, ())
    course = context.proof.running
    short = replace(course, **{name: getattr(course, name)[:1] for name in type(course).__slots__})
    section = proved(replace(context, proof=replace(context.proof, acted=(one,), running=short)))
    assert not any(isinstance(block, PictureBlock) for block in section.blocks)
    tables = [block.table for block in section.blocks if isinstance(block, TableBlock)]
    assert tables[2].rows[0][1] == "acts at other times"
    assert tables[2].rows[0][4] == "40 of 90"


def test_nothing_frozen_nothing_told(tmp_path):
    """A job whose promise is not frozen has neither section."""
    context = context_of(assessed(write_job(tmp_path, after_days=7)))
    assert promised(context) is None
    assert proved(context) is None


def test_a_changed_frozen_part_stands_there_as_that(folder, tmp_path):
    """The report says that it was changed, and the proof made from the one before is not shown."""
    other = copied(folder, tmp_path)
    path = other / "frozen.json"
    path.write_text(path.read_text().replace('"months": 12', '"months": 6'))
    context = context_of(assessed(other, keep=True))
    assert "was changed" in promised(context).lead
    assert proved(context) is None


def test_half_a_character_in_the_frozen_part_is_said(folder, tmp_path):
    """One edited entry that no text can hold counts as changed, for the kept proof and the report alike."""
    other = copied(folder, tmp_path)
    path = other / "frozen.json"
    path.write_text(path.read_text().replace('"responsible": ""', '"responsible": "\\ud800"'))
    job = assessed(other, keep=True)
    assert "ud800" in path.read_text()
    assert job.proof() is None
    assert "was changed" in promised(context_of(job)).lead


def test_a_frozen_part_that_is_gone_is_said(folder, tmp_path):
    """Where a proof is kept and what was frozen was deleted, the report says so, and tells no figure of it."""
    other = copied(folder, tmp_path)
    (other / "frozen.json").unlink()
    context = context_of(assessed(other, keep=True))
    assert "is gone" in promised(context).lead
    assert promised(context).blocks == ()
    assert proved(context) is None


def exchange(folder):
    """Put another frozen part in the place of the one that was proved, whole by itself."""
    job = folder / "job.toml"
    job.write_text(job.read_text() + "[measurement]\nmonths = 6\n")
    freeze(assessed(folder), anew=True)


def touch_the_record(folder):
    """Change the record of the time after."""
    path = folder / "after.csv"
    path.write_text(path.read_text() + "2024-05-20T00:00:00Z,1.0,5.0\n")


@pytest.mark.parametrize("change", [exchange, touch_the_record])
def test_a_kept_proof_of_something_else_is_said(folder, tmp_path, change):
    """A proof made from another frozen part or another record is not told, and that one is kept is said."""
    other = copied(folder, tmp_path)
    change(other)
    context = context_of(assessed(other, keep=True))
    assert proved(context) is None
    assert "made from another frozen part" in promised(context).blocks[-1].words


def test_only_a_kept_proof_of_something_else_is_said(folder, tmp_path):
    """Nothing is said of others where the kept proof holds, none was ever kept, or what was frozen is gone."""
    assert "another frozen part" not in str(promised(context_of(assessed(folder, keep=True))))
    assert not assessed(folder).proof_is_of_others()
    other = copied(folder, tmp_path)
    (other / "frozen.json").unlink()
    assert not assessed(other, keep=True).proof_is_of_others()


@pytest.mark.parametrize("damage", ["changed", "lost"])
def test_readings_that_are_not_what_they_were_stand_there_as_that(folder, tmp_path, damage):
    """A baseline's file that was changed or is gone is said on the page of the promise, and no kept claim is printed."""
    other = copied(folder, tmp_path)
    context = context_of(assessed(other, keep=True))
    assert proved(context) is not None
    path = other / "before.csv"
    if damage == "changed":
        path.write_text(path.read_text() + "2024-01-01T00:00:00Z,1.0,5.0\n")
    else:
        path.unlink()
    job = assessed(other, keep=True)
    broken = what_is_broken(job, job.frozen_text())
    assert ("changed" if damage == "changed" else "no such file") in broken
    told = promised(replace(context, seal_broken=broken))
    assert broken in told.lead
    assert told.blocks == ()
    assert job.proof() is None


@pytest.mark.parametrize(
    ("was", "now"),
    [
        ('stamps = "start"', 'stamps = "end"'),
        ("[papers]", '[repair]\ngaps = "estimate"\n[papers]'),
    ],
)
def test_the_same_file_read_otherwise_is_said(folder, tmp_path, was, now):
    """Another layout of the file that the baseline was made from is told as the verb tells it, and no kept claim is printed."""
    other = copied(folder, tmp_path)
    path = other / "job.toml"
    assert was in path.read_text()
    path.write_text(path.read_text().replace(was, now))
    job = assessed(other, keep=True)
    assert job.proof() is None
    told = promised(context_of(job))
    assert ("other readings" in told.lead) is (now == 'stamps = "end"')
    # What is kept of it says the same to who asks again.
    assert what_is_broken(assessed(other, keep=True), job.frozen_text()) == what_is_broken(job, job.frozen_text())


def test_readings_that_are_not_worked_out_are_not_held(folder, tmp_path):
    """Where the site's power is not at hand, only the files are held against what was frozen."""
    other = copied(folder, tmp_path)
    path = other / "job.toml"
    path.write_text(path.read_text().replace('stamps = "start"', 'stamps = "end"'))
    job = assessed(other)
    assert what_is_broken(job, job.frozen_text()) == ""
    job.power()
    assert "other readings" in what_is_broken(job, job.frozen_text())


@pytest.mark.parametrize("name", ["after/record/later.csv", "after/weather/warm.csv", "tmy.csv"])
def test_what_lies_there_of_the_time_after_decides(folder, tmp_path, name):
    """Another record or weather of the time after or other typical weather makes a kept proof one of other inputs."""
    other = copied(folder, tmp_path)
    if name == "tmy.csv":
        path = other / "job.toml"
        path.write_text(path.read_text() + '[weather]\nfile = "tmy.csv"\n')
    assert (assessed(other, keep=True).proof() is None) is (name == "tmy.csv")
    (other / name).parent.mkdir(parents=True, exist_ok=True)
    (other / name).write_text("time,temperature [degC]\n")
    assert assessed(other, keep=True).proof() is None

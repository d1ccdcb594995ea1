"""The corpus: every layout is decided rightly or asked about, and hardly ever asked about where it can be decided."""

from pathlib import Path

import numpy as np
import pytest

from tests.corpus.maker import FILES, KINDS, Truth, made
from wattwright.core.errors import RecordError
from wattwright.job.questions import of_fault, of_record
from wattwright.record import kinds
from wattwright.record.read import read_record
from wattwright.record.record import Record
from wattwright.record.spec import LayoutSpec

MOST_ASKED = 0.05


def agrees(record: Record, truth: Truth) -> bool:
    """Whether the first channel is the truth: start, step, values and missing readings."""
    series = record.channels[0].series
    watts = np.array([np.nan if one is None else one for one in truth.watts])
    return (
        (series.start_s, series.step_s, len(series)) == (truth.start_s, truth.step_s, len(watts))
        and bool(np.allclose(series.values, watts, rtol=1e-9, atol=1e-9, equal_nan=True))
        and truth.mark in ("", record.layout.stamps.value)
    )


def judged(folder: Path, number: int) -> tuple[Truth, str]:
    """Read one file and say what became of it."""
    truth, content = made(number)
    path = folder / f"{truth.name}.meter"
    path.write_bytes(content)
    try:
        record = read_record(path, truth.zone)
    except RecordError as error:
        return truth, "asked" if of_fault(error.faults[0]) else f"refused: {error}"
    # An order of dates that the days themselves show is a decision, said with its evidence; everything else assumed is asked.
    asked = [one for one in of_record(record) if one.about.code != kinds.DATE_ORDER.code]
    return truth, "asked" if asked else "right" if agrees(record, truth) else "wrong"


@pytest.fixture(scope="module")
def outcomes(tmp_path_factory) -> list[tuple[Truth, str]]:
    """What became of every file."""
    folder = tmp_path_factory.mktemp("corpus")
    return [judged(folder, number) for number in range(FILES)]


def test_corpus_is_wide_enough(outcomes) -> None:
    """At least 60 files of every kind, most of which can be decided and some that cannot, on days of 23 and 25 hours too."""
    assert len(outcomes) >= 60
    assert len(set(KINDS)) >= 15
    undecided = [truth for truth, _ in outcomes if not truth.can_be_decided]
    assert 10 <= len(undecided) <= len(outcomes) / 3


def test_no_wrong_answer_is_given_silently(outcomes) -> None:
    """Whatever is read without a question is the truth, and nothing that can be read is refused."""
    assert [(truth.name, outcome) for truth, outcome in outcomes if outcome not in ("right", "asked")] == []


def test_what_cannot_be_decided_is_asked(outcomes) -> None:
    """Where nothing shows the order of the date, the end, the decimal mark or the meter, the reader asks."""
    assert [truth.name for truth, outcome in outcomes if not truth.can_be_decided and outcome != "asked"] == []


def test_what_can_be_decided_is_hardly_ever_asked(outcomes) -> None:
    """At most one file in twenty of those that a careful person could read."""
    decided = [outcome for truth, outcome in outcomes if truth.can_be_decided]
    assert decided.count("asked") <= MOST_ASKED * len(decided)


def test_every_asked_file_is_right_once_answered(tmp_path) -> None:
    """Told the truth's own order and end, the files that were asked about are read rightly."""
    wrong = []
    for number in range(FILES):
        truth, outcome = judged(tmp_path, number)
        if outcome != "asked" or not truth.shows_meter:
            continue
        orders = ("", "day first", "month first")
        said = [LayoutSpec(stamps=truth.mark or "start", date_order=o, decimal=d) for o in orders for d in ("", ".", ",")]
        if not any(_reads_rightly(tmp_path / f"{truth.name}.meter", truth, one) for one in said):
            wrong.append(truth.name)
    assert wrong == []


def _reads_rightly(path: Path, truth: Truth, said) -> bool:
    try:
        return agrees(read_record(path, truth.zone, said), truth)
    except RecordError:
        return False

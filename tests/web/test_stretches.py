"""Stretches of pictures other than the readings: their figures, and each made once however often it is asked for."""

import csv
import io
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest

from tests.charts import gallery
from tests.handover.kit import PLAIN, hours
from tests.web.conftest import Asked
from tests.web.test_answers import plain
from wattwright.charts.reading import Reading, Zoom
from wattwright.charts.table import Table
from wattwright.demand.within.peak_bands import peak_bands
from wattwright.web.stretch import Stretches

DAYS = 75
POWER_KW = 1.25 + 0.75 * np.sin(np.arange(24 * DAYS))


@pytest.fixture(scope="module")
def ask(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Asked]:
    """A desk with a job of hours over three months, its page made; few courses are invented for what hides behind them."""
    folder = tmp_path_factory.mktemp("stretches") / "job"
    folder.mkdir()
    (folder / "job.toml").write_text(PLAIN)
    (folder / "readings.csv").write_text(hours(POWER_KW))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(peak_bands, "__kwdefaults__", {**peak_bands.__kwdefaults__, "courses": 20})
        made = Asked(folder)
        assert made("/demand").status_code == 200
        yield made
    made.desk.close()


def figures(ask: Asked, id_: str, query: str = "") -> list[list[str]]:
    """The rows of a picture's figures as a file."""
    answer = ask(f"/demand/figures/{id_}.csv{query}")
    assert answer.status_code == 200
    return list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))[1:]


def test_days_of_the_map(ask: Asked) -> None:
    """Ten days of the map have ten lines, the hours as they were read; the page says which days are shown."""
    rows = figures(ask, "year-heat", "?from=10&until=20")
    assert [row[0] for row in rows] == [f"2025-03-{day}" for day in range(13, 23)]
    assert [float(one) for one in rows[0][1:]] == pytest.approx(POWER_KW[240:264], abs=0.0006)  # meter files hold watts
    assert len(figures(ask, "year-heat")) == DAYS
    assert "Shown here: 2025-03-13 to 2025-03-22" in plain(ask("/demand/figures/year-heat?from=10&until=20"))


def test_steps_of_the_duration_curve(ask: Asked) -> None:
    """Twenty equal steps between two shares of the time, and at each the power that so many readings reach."""
    rows = figures(ask, "duration", "?from=10&until=30")
    assert [float(row[0]) for row in rows] == list(range(10, 31))
    highest_first = np.sort(POWER_KW)[::-1]
    for share, power in rows:
        # Between two readings the curve may lie on either.
        at = round(float(share) / 100 * len(highest_first))
        assert highest_first[at + 6] - 0.001 <= float(power) <= highest_first[at - 6] + 0.001


def test_days_and_months_of_hidden_peaks(ask: Asked) -> None:
    """The whole tells its months, a stretch its days: low, middle, high and the highest mean that was read."""
    assert [row[0] for row in figures(ask, "hidden-peaks")] == ["2025-03", "2025-04", "2025-05"]
    first = 1_740_960_000 + 10 * 86_400
    rows = figures(ask, "hidden-peaks", f"?from={first}&until={first + 8 * 86_400}")
    assert [row[0] for row in rows] == [f"2025-03-{day}" for day in range(13, 21)]
    for day, row in enumerate(rows, 10):
        low, middle, high, read = map(float, row[1:])
        assert low <= middle <= high
        assert read == pytest.approx(POWER_KW[24 * day : 24 * day + 24].max(), abs=0.0006)


def test_a_stretch_is_made_once() -> None:
    """Words, drawing and figures of a stretch share what was made of it; of many the one asked for longest ago is let go."""
    made = []

    def part(low: float, high: float):
        made.append((low, high))
        return gallery.bill()

    table = Table((), (), "Days", "A meter.")
    zoom = Zoom(0.0, 100.0, 1.0, 1.0, part, lambda low, high: replace(table, caption=f"{low:g} to {high:g}"))
    whole = replace(gallery.bill(), reading=Reading(tuple, zoom))
    kept = Stretches()
    first = kept.of(whole, {"from": "0.4", "until": "9.2"})
    assert kept.of(whole, {"from": "0", "until": "10"}) is first
    assert made == [(0.0, 10.0)]
    assert (first.table.caption, first.table.source) == ("0 to 10", f"A meter. {gallery.bill().step.rstrip('.')}")
    for begin in range(1, 9):
        kept.of(whole, {"from": str(begin)})
    assert kept.of(whole, {"from": "0", "until": "10"}) is not first
    other = replace(whole)
    assert kept.of(other, {"from": "0", "until": "10"}) is not kept.of(whole, {"from": "0", "until": "10"})

"""A register settles what its gaps hold: totals agree exactly, what was read stays, and the band is that of its counts."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from tests.record.plant import ATHENS, DAY, HOUR, MONDAY_S, channel, codes, house, seen
from wattwright.core.clock import SiteClock
from wattwright.core.quality import Quality
from wattwright.core.quantity import Direction, Phase
from wattwright.core.series import of_values
from wattwright.record.bands import Trials, band_of_all, runs_of_spans
from wattwright.record.estimate import Method, repair
from wattwright.record.faults.totals import register_differs
from wattwright.record.record import Form, StampsMark
from wattwright.record.registered import Known, fit, known_spans, register_for

NAN = float("nan")


def register(power, missing=(), digits=6, mark=StampsMark.START, first=5000.0, column="Register kWh"):
    """The register that counts ``power`` (W, hours), read at the start of each hour or at its end, in kWh."""
    used = np.concatenate([[0.0], np.cumsum(power) / 1000])
    raw = np.round(first + (used[:-1] if mark is StampsMark.START else used[1:]), digits)
    raw[list(missing)] = NAN
    steps = np.diff(raw) * 1000
    values = np.append(steps, NAN) if mark is StampsMark.START else np.insert(steps, 0, NAN)
    return channel(values, column, form=Form.REGISTER, raw=raw, factor=1000.0)


def holed(power, *gaps):
    held = np.array(power, np.float64)
    for first, last in gaps:
        held[first:last] = NAN
    return channel(held)


@pytest.mark.parametrize("mark", list(StampsMark))
def test_span_of_a_gap(mark):
    """Rows 100 to 109 missing: the register read beside them says what the gap holds, whichever end its stamps mark."""
    power = house()
    gap = range(100, 110)
    one = holed(power, (100, 110))
    spans = known_spans(one.series, register(power, gap, mark=mark), mark)
    (span,) = spans
    # Read at the starts, the register is first read again at 110 o'clock; read at the ends, at the end of hour 110.
    first, last = (99, 110) if mark is StampsMark.START else (100, 111)
    assert (span.start_s, span.end_s) == (MONDAY_S + first * HOUR, MONDAY_S + last * HOUR)
    assert span.energy_kwh == pytest.approx(power[first:last].sum() / 1000)
    made = repair(one.series, ATHENS, known=spans)
    assert made.energy_kwh == pytest.approx(power[100:110].sum() / 1000)
    assert [f.method for f in made.filled] == [Method.REGISTER]
    assert set(made.series.quality[100:110]) == {Quality.ESTIMATED_REFERENCE_DAY}


def test_register_that_went_on_counting():
    """Where only the intervals are missing, each of them is known to the register's own resolution."""
    power = house()
    one = holed(power, (100, 140))
    made = repair(one.series, ATHENS, known=known_spans(one.series, register(power), StampsMark.START))
    assert made.series.values[100:140] == pytest.approx(power[100:140])


def test_register_in_whole_kwh_has_a_band_of_its_count():
    """A register of whole kWh may be off by one count between two readings: the band says so on both sides."""
    power = house() * 10
    one = holed(power, (100, 130))
    made = repair(one.series, ATHENS, known=known_spans(one.series, register(power, range(100, 130), digits=0), StampsMark.START))
    truth = power[100:130].sum() / 1000
    (gap,) = made.filled
    assert gap.high_kwh - gap.energy_kwh == pytest.approx(1)
    assert gap.low_kwh <= truth <= gap.high_kwh
    assert made.band_kwh == pytest.approx((gap.low_kwh, gap.high_kwh))


def test_two_gaps_in_one_span():
    """With the register unread between two gaps only their sum is known: each may hold none or all of it."""
    power = house()
    one = holed(power, (100, 110), (115, 125))
    spans = known_spans(one.series, register(power, range(100, 125)), StampsMark.START)
    made = repair(one.series, ATHENS, known=spans)
    truth = (power[100:110].sum() + power[115:125].sum()) / 1000
    assert made.energy_kwh == pytest.approx(truth)
    for gap in made.filled:
        assert gap.low_kwh == pytest.approx(0, abs=3e-3)
        assert gap.high_kwh == pytest.approx(truth, abs=3e-3)
    assert made.band_kwh == pytest.approx((truth, truth), abs=3e-3)


def test_gap_in_a_register_alone():
    """A channel made of a register is settled by its own readings on both sides."""
    power = house()
    own = register(power, range(100, 110))
    cut = channel(own.series.values[:-1], form=Form.REGISTER, raw=own.series.raw[:-1], factor=1000.0)
    made = repair(cut.series, ATHENS, known=known_spans(cut.series, cut, StampsMark.START))
    assert made.energy_kwh == pytest.approx(power[99:110].sum() / 1000)


def test_no_like_day_but_a_register():
    """Two days with a gap of twenty hours have no like day; the register's energy is spread evenly over it."""
    power = house(days=2)
    one = holed(power, (10, 30))
    made = repair(one.series, ATHENS, known=known_spans(one.series, register(power, range(10, 30)), StampsMark.START))
    assert len(set(np.round(made.series.values[10:30], 6))) == 1
    assert made.energy_kwh == pytest.approx(power[10:30].sum() / 1000)
    assert repair(one.series, ATHENS).filled == ()


def test_register_that_cannot_fill_leaves_the_gap():
    """Where the register says less than what was read beside the gap, and no like day helps, the gap stays."""
    power = house(days=2)
    one = holed(power, (10, 30)).series
    made = repair(one, ATHENS, known=[Known(MONDAY_S + 5 * HOUR, MONDAY_S + 35 * HOUR, 0.01)])
    assert made.filled == ()
    assert len(made.left) == 1
    assert np.isnan(made.series.values[10:30]).all()


def test_never_across_the_end_of_the_record():
    """A register read before and behind the record's last readings does not fill the ends."""
    power = house()
    one = holed(power, (0, 5), (660, 672)).series
    made = repair(
        one, ATHENS, known=[Known(MONDAY_S, MONDAY_S + 10 * HOUR, 9.0), Known(MONDAY_S + 650 * HOUR, MONDAY_S + 672 * HOUR, 9.0)]
    )
    assert made.filled == ()
    assert np.isnan(made.series.values[:5]).all()


def test_register_that_disagrees_is_not_used():
    """A register that rises twice as fast as the intervals settles nothing, and is told; one reset in the gap settles nothing."""
    power = house()
    one = holed(power, (100, 110))
    double = register(2 * power, range(100, 110))
    assert known_spans(one.series, double, StampsMark.START) == ()
    (found,) = register_differs(seen(one, double))
    assert found.data["ratio"] == pytest.approx(2)
    reset = register(power, range(100, 110))
    reset.series.raw[110:] -= 4990
    assert known_spans(one.series, reset, StampsMark.START) == ()


def test_registers_that_fit():
    """Only a register of the same quantity, conductor and direction counts for a channel; a register counts for itself."""
    one = channel(house())
    export = channel(house(), "Export kWh", direction=Direction.EXPORT, form=Form.REGISTER)
    phase = channel(house(), "L1 kWh", phase=Phase.L1, form=Form.REGISTER)
    right = register(house())
    assert register_for(one, (export, phase, right)) is right
    assert register_for(one, (export, phase)) is None
    assert register_for(right, ()) is right


def test_registers_that_cannot_be_used():
    """Another grid, or fewer than two readings, give no span."""
    power = house()
    one = holed(power, (100, 110))
    assert known_spans(one.series, register(house(days=3)), StampsMark.START) == ()
    assert known_spans(one.series, register(power, range(1, len(power))), StampsMark.START) == ()


def test_sound_register_is_not_told():
    """Within 1 % and two counts the two agree; where they were never read together nothing can be held."""
    power = house()
    assert register_differs(seen(channel(power), register(1.005 * power))) == []
    assert codes(register_differs(seen(channel(power), register(1.05 * power)))) == ["record.register-differs"]
    assert register_differs(seen(channel(power))) == []
    assert register_differs(seen(channel(np.zeros(28 * DAY)), register(power))) == []
    assert register_differs(seen(channel(power), register(power, range(len(power))))) == []


def test_span_that_does_not_fit_the_series():
    """A span that begins before the series, or holds a gap that was not estimated, changes nothing."""
    values = np.array([1.0, 2.0, NAN, 4.0])
    made = fit(values, np.isnan(values), 0, HOUR, [Known(-HOUR, HOUR, 1.0), Known(HOUR, 4 * HOUR, 9.0)])
    assert np.array_equal(made.values, values, equal_nan=True)
    assert made.spans == ()


@settings(max_examples=60)
@given(
    st.lists(st.floats(0, 5000), min_size=48, max_size=48),
    st.lists(st.booleans(), min_size=48, max_size=48),
    st.lists(st.integers(1, 47), min_size=1, max_size=6, unique=True),
    st.floats(0, 500),
)
def test_filled_spans_add_up_to_the_register(power, read, cuts, more):
    """Whatever is missing and however the register was read, each span adds up to it exactly, and no reading changes."""
    values, holes = np.array(power), ~np.array(read)
    edges = [0, *sorted(cuts), 48]
    known = []
    for first, last in pairwise(edges):
        if holes[first:last].any():
            rise = (values[first:last][~holes[first:last]].sum() + more) / 1000
            known.append(Known(first * HOUR, last * HOUR, float(rise)))
    made = fit(values, holes, 0, HOUR, known)
    for span in known:
        first, last = span.start_s // HOUR, span.end_s // HOUR
        assert made.values[first:last].sum() / 1000 == pytest.approx(span.energy_kwh, rel=1e-12, abs=1e-12)
    assert np.array_equal(made.values[~holes], values[~holes])
    assert (made.values[holes] >= 0).all()


def test_band_of_several_gaps_keeps_what_days_share():
    """Two gaps whose errors are the same on every day have twice the band of one; errors that cancel have none."""
    errors = {day: float(day) for day in range(-20, 21) if day}
    one = band_of_all([Trials(0, 1, errors)], 10.0)
    both = band_of_all([Trials(0, 1, errors), Trials(5, 6, errors)], 20.0)
    assert one is not None
    assert both is not None
    assert both[1] - 20 == pytest.approx(2 * (one[1] - 10))
    against = band_of_all([Trials(0, 1, errors), Trials(5, 6, {day: -error for day, error in errors.items()})], 20.0)
    assert against == (20.0, 20.0)


def test_band_of_several_gaps_with_different_trials():
    """A day off that one gap could not be tried at takes that gap's nearest trial; too few trials give no band."""
    many = dict.fromkeys(range(1, 40), 1.0)
    some = dict.fromkeys(range(20, 60), 2.0)
    assert band_of_all([Trials(0, 1, many), Trials(5, 6, some)], 5.0, 0.5) == pytest.approx((7.5, 8.5))
    assert band_of_all([Trials(0, 1, many), Trials(5, 6, {1: 2.0})], 5.0) is None
    assert band_of_all([Trials(0, 1, many), Trials(5, 6, {})], 5.0) is None
    assert band_of_all([], 5.0, 1.0) == (4.0, 6.0)


def test_counts_between_spans_cancel():
    """Spans that follow one another share the reading between them, so that only the two ends' counts remain."""
    assert runs_of_spans([(5, 9, 1.0), (0, 5, 1.0), (12, 14, 0.1)]) == [(0, 9, 1.0), (12, 14, 0.1)]


def test_band_is_not_below_nought():
    """Where nothing ever ran backwards the energy of all gaps is not below nought either."""
    power = house()
    power[100:104] = 0
    made = repair(of_values(MONDAY_S, HOUR, np.where(np.arange(672) == 300, NAN, power * 0.001)), SiteClock("UTC"))
    assert made.band_kwh is not None
    assert made.band_kwh[0] >= 0

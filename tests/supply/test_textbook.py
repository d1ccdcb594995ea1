"""The textbook's stand-alone supply, step by step against arithmetic by hand."""

import pytest
from hypothesis import given, strategies as st

from wattwright.core.errors import InputError
from wattwright.supply.textbook import StandAlone, stand_alone


def asked(**changed) -> StandAlone:
    """4800 Wh a day, three days, 48 V, cells at 15.6 degC."""
    return StandAlone.model_validate({"daily": "4800 Wh", "coldest": "15.6 degC", "running": "25 A", "sun_h": 4.0, **changed})


def test_each_step_by_hand() -> None:
    """111.11 Ah a day, 333.33 in three; a day's use governs with 555.56; x 1.11 x 1.10 = 678.33 Ah at the 27 h rate."""
    found = stand_alone(asked(array_ratio=1.3))
    assert found.daily_ah == pytest.approx(111.11, abs=0.005)
    assert found.needed_ah == pytest.approx(333.33, abs=0.005)
    assert found.by_rule == pytest.approx({"days without sun": 416.67, "a day's use": 555.56, "end of life": 416.67}, abs=0.005)
    assert (found.governs, found.factor) == ("a day's use", pytest.approx(1.11))
    assert found.battery_ah == pytest.approx(678.33, abs=0.005)
    assert found.battery_wh == pytest.approx(678.33 * 48, abs=0.5)
    assert found.rate_s / 3600 == pytest.approx(27.1, abs=0.05)
    assert found.array_a == pytest.approx(36.1, abs=0.05)


def test_without_the_daily_limit() -> None:
    """The same where a day's depth does not matter, with a margin of 1.25: 416.67 x 1.11 x 1.25 = 578.1 Ah (by hand)."""
    found = stand_alone(asked(most_daily_depth="100 %", margin=1.25))
    assert found.battery_ah == pytest.approx(578.1, abs=0.05)
    assert found.governs == "days without sun"


def test_end_of_life_governs_where_all_may_be_drawn() -> None:
    """Where the battery may be drawn empty, what is left at its end decides; nothing is told that was not asked."""
    found = stand_alone(asked(most_depth="100 %", most_daily_depth="100 %", running=None, sun_h=None))
    assert found.governs == "end of life"
    assert (found.rate_s, found.array_a) == (None, None)


def test_warm_cells_are_not_credited() -> None:
    """Cells at 35 degC hold more, but the size stays; colder than the table is refused."""
    warm, rated = (stand_alone(asked(coldest=given)).battery_ah for given in ("35 degC", "25 degC"))
    assert warm == rated
    with pytest.raises(InputError, match="IEEE 485"):
        stand_alone(asked(coldest="-10 degC"))


@given(st.floats(0.5, 10), st.floats(0.5, 10), st.floats(-3.9, 30), st.floats(0, 10))
def test_more_days_and_more_cold_never_need_less(days: float, more: float, coldest: float, warmer: float) -> None:
    """More days without sun, or colder cells, never make the battery smaller."""
    plain = stand_alone(asked(autonomy_days=days, coldest=f"{coldest + warmer:.6f} degC"))
    assert stand_alone(asked(autonomy_days=days + more, coldest=f"{coldest:.6f} degC")).battery_ah >= plain.battery_ah - 1e-9

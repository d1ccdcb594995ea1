"""Strings of modules against worked figures and what must hold of any of them."""

import pytest
from hypothesis import assume, given, settings, strategies as st
from pydantic import ValidationError

from wattwright.core.errors import InputError
from wattwright.core.fields import Held
from wattwright.core.show import Show
from wattwright.generation.string import Module, Strings, cold_open_v, hot_working_v, strings

MODULE = {
    "peak": "410 W", "open": "41.5 V", "working": "34.2 V", "short": "11.4 A", "at_work": "10.8 A", "open_per_k": "-0.28 %",
    "working_per_k": "-0.36 %", "system": "1500 V", "fuse": "20 A",
}  # fmt: skip
TRACKER = {
    "most_voltage": "600 V", "window_low": "200 V", "window_high": "550 V", "input_current": "13 A", "short": "18 A",
    "ac": "4.6 kW",
}  # fmt: skip


def asked(module=None, tracker=None, **given) -> Strings:
    """Strings as a person asks for them: invented module and inverter, changed where said."""
    plain = {"rules": "iec", "coldest": "-15 degC", "hottest": "40 degC", "building": "dwelling"}
    parts = {"module": {**MODULE, **(module or {})}, "tracker": {**TRACKER, **(tracker or {})}}
    return Strings.model_validate({**plain, **parts, **given})


def rule(design, name):
    return next(one for one in design.steps if one.id == name)


def test_a_string_by_hand() -> None:
    """41.5 V, -0.28 %/K, -15 C: 46.148 V, 13 in series on 600 V; 34.2 V, -0.36 %/K, 70 C: 28.66 V, so 7 for 200 V."""
    found = strings(asked())
    assert (found.most, found.least, found.series) == (13, 7, 13)
    assert found.cold_open_v == pytest.approx(13 * 41.5 * 1.112)
    assert found.hot_working_v == pytest.approx(13 * 34.2 * 0.838)
    assert strings(asked(module={"open": "41.6 V"})).most == 12
    assert found.conductor_a == pytest.approx(1.25 * 11.4)
    assert found.ratio == pytest.approx(13 * 410 / 4600)
    assert (found.accepted, found.findings) == (True, ())
    assert rule(found, "inverter-voltage").margin == pytest.approx(1 - 13 * 46.148 / 600)
    assert rule(found, "hot-window").margin == pytest.approx(13 * 28.6596 / 200 - 1)


# Rows of NEC Table 690.7(A): both ends of each, and what lies between two counts to the colder one.
@pytest.mark.parametrize(
    ("coldest", "factor"),
    [(25, 1.0), (24.5, 1.02), (20, 1.02), (19, 1.04), (9, 1.08), (0, 1.10), (-1, 1.12), (-5, 1.12), (-5.5, 1.14), (-10, 1.14),
     (-16, 1.18), (-21, 1.20), (-30, 1.21), (-36, 1.25), (-40, 1.25)],
)  # fmt: skip
def test_factor_of_the_table(coldest, factor) -> None:
    """Without a coefficient the factor of the table is taken."""
    module = Module.model_validate({**MODULE, "open": "100 V", "open_per_k": None})
    assert cold_open_v(module, coldest) == pytest.approx(100 * factor)


@pytest.mark.parametrize("coldest", [14, 10, -11, -15, -31, -35])
def test_a_row_that_is_not_held_is_refused(coldest) -> None:
    """Where the row is not at hand the coefficient is asked for, never guessed."""
    with pytest.raises(InputError, match="data sheet"):
        strings(asked(module={"open_per_k": None}, coldest=f"{coldest} degC"))


def test_the_nec_limits_a_dwelling() -> None:
    """On a dwelling 600 V count though inverter and modules bear more; elsewhere theirs; and a second 1.25 for conductors."""
    tracker = {"most_voltage": "1100 V", "window_high": "1000 V"}
    found = {
        place: strings(asked(tracker=tracker, rules="nec", building=place))
        for place in ("dwelling", "other-building", "elsewhere")
    }
    assert {place: one.most for place, one in found.items()} == {"dwelling": 13, "other-building": 21, "elsewhere": 23}
    assert found["dwelling"].conductor_a == pytest.approx(17.8125)
    long = strings(asked(tracker=tracker, rules="nec", series=14))
    assert [one.id for one in long.steps if not one.passed] == ["building-voltage"]
    assert not long.accepted
    assert "NEC 690.7" in long.findings[0].says(Show())


@pytest.mark.parametrize(
    ("given", "failing", "accepted"),
    [
        ({"series": 14}, ["inverter-voltage"], False),  # 14 x 46.148 = 646 V; at work 14 x 34.2 x 1.144 = 547.7 V
        ({"series": 6}, ["hot-window"], False),
        ({"parallel": 2}, ["short-current", "input-current", "ratio"], False),
        ({"module": {"system": "500 V"}, "series": 13}, ["module-voltage"], False),
        ({"tracker": {"ac": "3 kW"}}, ["ratio"], True),
        ({"tracker": {"window_high": "500 V"}}, ["cold-window"], True),
        ({"string_fuse": "16 A"}, ["fuse-least"], False),  # 1.5 x 11.4 = 17.1 A
        ({"string_fuse": "20 A"}, [], True),
        ({"string_fuse": "25 A"}, ["fuse-module"], False),
        ({"string_fuse": "32 A"}, ["fuse-module", "fuse-most"], False),  # 2.4 x 11.4 = 27.36 A
        ({"rules": "nec", "string_fuse": "17 A"}, ["fuse-least"], False),  # 1.5625 x 11.4 = 17.8 A
        ({"rules": "nec", "string_fuse": "20 A"}, [], True),
        # two others push back 2 x 11.4 = 22.8 A, more than 20 A
        ({"parallel": 3, "tracker": {"input_current": "40 A", "short": "50 A", "ac": "15 kW"}}, ["fuse-needed"], False),
    ],
)
def test_rules_that_fail(given, failing, accepted) -> None:
    """Each rule fails for what it is about, and what only costs yield does not refuse."""
    found = strings(asked(**given))
    assert [one.id for one in found.steps if not one.passed] == failing
    assert found.accepted is accepted
    assert len(found.findings) == len(failing)
    assert all(one.clause and one.status for one in found.steps)
    assert all("{" not in one.says(Show()) for one in found.findings)


@pytest.mark.parametrize(
    ("given", "back_a", "a_string_a"),
    [
        ({"parallel": 3}, 1.25 * 2 * 11.4, 28.5),
        ({"parallel": 2}, 14.25, 14.25),
        ({}, 0.0, 14.25),
        ({"parallel": 3, "string_fuse": "20 A"}, 0.0, 14.25),
        ({"parallel": 2, "rules": "nec"}, 14.25, 17.8125),
        ({"parallel": 4, "rules": "nec"}, 1.25 * 3 * 11.4, 42.75),
    ],
)
def test_a_faulted_string_without_a_fuse_carries_what_the_others_push_back(given, back_a, a_string_a) -> None:
    """1.25 (strings - 1) Isc (IEC 60364-7-712, IEC 62548, NEC 690.9, from memory), or its own current where that is more."""
    found = strings(asked(**given))
    assert (found.back_a, found.a_string_a) == (pytest.approx(back_a), pytest.approx(a_string_a))


def test_no_number_in_series_fits() -> None:
    """Where the window asks for more than the cold voltage allows, it is refused with both numbers."""
    found = strings(asked(tracker={"most_voltage": "250 V", "window_high": "240 V"}))
    assert (found.most, found.least, found.accepted) == (5, 7, False)
    assert found.findings[0].code == "generation.no-length"
    lone = strings(asked(tracker={"most_voltage": "40 V", "window_low": "20 V", "window_high": "40 V"}))
    assert (lone.most, lone.series, lone.accepted) == (0, 1, False)


def test_a_whole_quotient_fits() -> None:
    """Twelve modules of exactly 50 V fit on 600 V: floating point takes none away."""
    assert strings(asked(module={"open": "50 V"}, coldest="25 degC")).most == 12
    found = strings(asked(module={"open": "54.1 V"}, coldest="25 degC", tracker={"most_voltage": "649.2 V"}))
    assert (found.most, rule(found, "inverter-voltage").passed) == (12, True)


def test_a_window_out_of_order_is_refused() -> None:
    """A window that ends above what the inverter bears is a slip of reading."""
    with pytest.raises(ValidationError, match="rising order"):
        asked(tracker={"window_high": "700 V"})


@pytest.mark.parametrize("module", [{"working": "41.5 V"}, {"working": "50 V"}, {"at_work": "11.4 A"}, {"at_work": "12 A"}])
def test_a_module_that_works_beyond_its_ends_is_refused(module) -> None:
    """At most power a module lies within its curve: under 41.5 V open, under 11.4 A short-circuited (any textbook of PV)."""
    with pytest.raises(ValidationError, match="working under open"):
        asked(module=module)


@settings(max_examples=80, deadline=None)
@given(st.floats(-40, 25), st.floats(0, 30), st.floats(-0.0099, 0), st.integers(1, 30), st.integers(1, 5), st.booleans())
def test_colder_and_longer_never_less(coldest, colder, per_k, series, more, nec) -> None:
    """Colder never has fewer volts nor more in series; a longer string never has less voltage, and hotter never more."""
    given = {"module": {"open_per_k": Held(per_k)}, "rules": "nec" if nec else "iec"}
    low = max(-40.0, coldest - colder)
    warm, cold = (strings(asked(coldest=Held(one), series=series, **given)) for one in (coldest, low))
    assert cold.cold_open_v >= warm.cold_open_v
    assert cold.most <= warm.most
    longer = strings(asked(coldest=Held(coldest), series=series + more, **given))
    assert longer.cold_open_v > warm.cold_open_v
    assert rule(longer, "inverter-voltage").margin < rule(warm, "inverter-voltage").margin
    module = Module.model_validate(MODULE)
    assert hot_working_v(module, 30 + colder, 30) <= hot_working_v(module, 30, 30)
    # what is told as the most passes, and one more does not
    if warm.most >= 1:
        limits = ("inverter-voltage", "module-voltage", "building-voltage")
        passes = [
            all(one.passed for one in strings(asked(coldest=Held(coldest), series=count, **given)).steps if one.id in limits)
            for count in (warm.most, warm.most + 1)
        ]
        assert passes == [True, False]


@settings(max_examples=40, deadline=None)
@given(st.integers(-40, 24), st.integers(0, 30))
def test_colder_never_less_by_the_table(coldest, colder) -> None:
    """The table's factors never fall as it gets colder, over the rows that are held."""
    module = Module.model_validate({**MODULE, "open_per_k": None})
    warm, cold = float(coldest), float(max(-40, coldest - colder))
    missing = {*range(10, 15), *range(-15, -10), *range(-35, -30)}
    assume(not {int(warm), int(cold)} & missing)
    assert cold_open_v(module, cold) >= cold_open_v(module, warm)


def test_a_rule_that_fails_says_which_way_its_limit_lies() -> None:
    """By hand: 1.5 x 13.9 A = 20.85 A is the least a fuse may be; 14 x 46.148 V = 646 V is more than 600 V, the most."""
    show = Show("en_GB", "SI", "UTC")
    least = strings(asked(module={"short": "13.9 A"}, string_fuse="20 A"))
    (told,) = (one.says(show) for one in least.findings if "fuse carries" in one.says(show))
    assert "20.0 A, and must be at least 20.9 A" in told
    most = strings(asked(series=14)).findings
    assert any("646 V, and must be at most 600 V" in one.says(show) for one in most)

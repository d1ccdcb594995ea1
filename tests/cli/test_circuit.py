"""The verb circuit."""

import json

import pytest

HEATER = ("circuit", "--power", "3 kW", "--voltage", "230 V", "--length", "20 m", "--method", "C")
SPLIT = ("circuit", "--rules", "nec", "--power", "4.5 kW", "--voltage", "240 V", "--system", "split-phase", "--storage", "190 l")
PUMP = ("circuit", "--duty", "motor", "--power", "1.1 kW", "--voltage", "230 V", "--length", "60 m", "--method", "D1")


def words(done) -> str:
    """What was written, without the breaks of lines."""
    return " ".join(done.out.replace("\N{NARROW NO-BREAK SPACE}", " ").split())


def test_answer_first_then_working_questions_and_cautions(wattwright) -> None:
    """The first sentence names protection, cable and drop; then come steps, other sizes, questions, findings and cautions."""
    told = words(wattwright(*HEATER, "--name", "water heater"))
    assert told.startswith("Water heater: breaker B 16 A of 1 pole (IEC 60898-1), and copper of 1.5 mm²")
    parts = ("Decided by", "Ib ≤ In", "Other size", "To be asked on site:", "is provisional", "isolate", "Local codes")
    assert [told.index(part) for part in parts] == sorted(told.index(part) for part in parts)


def test_json_has_the_promised_fields(wattwright) -> None:
    """Programs find the cable, the drop, the deciding rule, steps with margins, what is open, and findings."""
    done = json.loads(wattwright(*HEATER, "--json").out)
    assert done["schema"] == "wattwright.circuit/1"
    assert (done["cable"]["area_mm2"], done["cable"]["size"]) == (1.5, "1.5 mm²")
    assert done["voltage_drop_percent"] == pytest.approx(3.4026, abs=1e-3)  # 2 x 0.0225 x 20 / 1.5 x 13.043 / 230
    assert done["deciding_rule"] == "smallest-size"
    steps = {one["id"]: one for one in done["steps"]}
    assert steps["load"]["margin"] == pytest.approx(1 - 13.0435 / 16, abs=1e-4)
    assert (steps["disconnection"]["result"], steps["disconnection"]["margin"]) == ("not checked", None)
    assert {one["id"] for one in done["not_checked"]} >= {"earthing", "prospective_current"}
    assert done["provisional"] is True
    assert {"gear.circuit-provisional"} == {one["code"] for one in done["findings"]}


def test_nec_in_raceway(wattwright) -> None:
    """Wires in AWG, poles, the raceway, and that both lines must be broken."""
    done = wattwright(*SPLIT, "--length", "60 ft", "--method", "raceway")
    told = words(done)
    for part in (
        "breaker 25 A of 2 poles",
        "copper of 10 AWG",
        "raceway of trade size 1/2",
        "10 AWG",
        "two lines",
        "12 AWG fails it",
    ):
        assert part in told
    one = json.loads(wattwright("circuit", "--rules", "nec", "--power", "1 kW", "--voltage", "120 V", "--length", "9 m",
                                "--method", "cable", "--json").out)  # fmt: skip
    assert (one["protection"]["poles"], one["raceway"], one["residual_ma"]) == (1, None, None)


def test_motor_tells_relay_start_and_rcd(wattwright) -> None:
    """A pump shows its start, its overload relay, its RCD in TT and the plate to be read."""
    told = words(wattwright(*PUMP, "--earthing", "TT", "--earth-resistance", "40 ohm"))
    for part in ("an RCD of 300 mA", "overload relay", "voltage drop, motor start", "current on the motor's plate", "RA = 40 Ω"):
        assert part in told


@pytest.mark.parametrize(
    ("more", "option", "told"),
    [
        (("--length", "0 m"), "--length", "greater than 0 m"),
        (("--power", "-3 kW"), "--power", "greater than 0 kW"),
        (("--voltage", "900 V"), "--voltage", "at most 480 V"),
        (("--voltage", "400 V"), "--voltage", "three-phase"),
        (("--voltage", "480 V", "--system", "three-phase"), "--voltage", "at most 440 V"),
        (("--method", "Z"), "--method", "A1, A2, B1"),
        (("--rules", "nec"), "--method", "raceway, cable"),
        (("--rules", "nec", "--method", "raceway"), "--system", "split-phase"),
        (("--material", "aluminium"), "--material", "copper"),
        (("--parallel", "2"), "--parallel", "not covered"),
        (("--ambient", "61 °C"), "--ambient", "at most 60 °C"),
        (("--circuits", "10"), "--circuits", "at most 9 circuits"),
        (("--length", "20"), "--length", "with its unit"),
        (("--rated", "17 A"), "--rated", "6, 10, 13"),
        (("--rated", "10 A"), "--power", "the 10 A of the breaker that is there"),
        (("--laid", "tray"), "--laid", "wall, ceiling, bunched"),
        (("--device", "fuse", "--curve", "B"), "--curve", "no curve here"),
        (("--residual", "0.05 A"), "--residual", "0.01, 0.03"),
        (("--place", "pool", "--residual", "0.3 A"), "--residual", "at most 30 mA"),
        (("--power", "90 kW", "--voltage", "400 V", "--system", "three-phase"), "--power", "6 to 125 A"),
        (("--upstream-drop", "5 %"), "--upstream-drop", "less than the limit"),
        (("--prospective-current", "30 kA"), "--prospective-current", "at most 25 kA"),
        (("--length", "900 m", "--power", "20 kW"), "appliance", "95 mm²"),
        (("--rules", "nec", "--method", "raceway", "--device", "fuse"), "--device", "breaker for the NEC"),
    ],
)
def test_bad_input_gets_a_sentence(wattwright, more, option, told) -> None:
    """What cannot be is told with the option, what was found and what was expected, and the exit code is 1."""
    done = wattwright(*HEATER, *more)
    assert done.code == 1
    assert done.err.startswith(f"{option}: found ")
    assert told in done.err
    assert "Traceback" not in done.err


def test_nothing_is_asked_when_all_is_known(wattwright) -> None:
    """With every answer given there is no list of questions and no word of a provisional answer."""
    known = ("--ambient", "30 °C", "--circuits", "1", "--upstream-drop", "0 %", "--earthing", "TN", "--loop-impedance", "0.5 ohm")
    told = words(wattwright(*HEATER, *known, "--prospective-current", "400 A"))
    assert "asked on site" not in told
    assert "rovisional" not in told


def test_what_it_draws_must_be_said(wattwright) -> None:
    """Without power and current the call is wrong, and says which options give them."""
    done = wattwright("circuit", "--voltage", "230 V", "--length", "20 m", "--method", "C")
    assert (done.code, "--current" in done.err) == (2, True)

"""Where a logger is clamped: every conductor, names that our readers know, clamps that carry what the protection lets through."""

from pathlib import Path

import pytest

import wattwright
from tests.job.test_gearing import HEAD, HEATER, PUMP
from wattwright.core.quantity import Phase, Quantity
from wattwright.job.clamps import clamp_points, worth_a_channel
from wattwright.job.file import load_job

OVEN = '[[loads]]\nid = "oven"\nname = "Oven"\nkind = "cooking"\nrating = "2 kW"\n'
LAMP = '[[loads]]\nid = "lamp"\nname = "Lamp"\nkind = "lighting"\nrating = "60 W"\n'


def points(folder: Path, text: str):
    """The clamp points of a job of this text."""
    (folder / "job.toml").write_text(text)
    return clamp_points(load_job(folder))


def test_supply_and_loads(tmp_path: Path) -> None:
    """Three clamps of the supply take its main protection; a load's takes its plate, by P / (U cos phi) of its conductors."""
    supply, pump, heater, oven = points(tmp_path, HEAD + HEATER + PUMP + OVEN + LAMP)
    assert (supply.conductors, supply.carries_a) == (("L1", "L2", "L3"), 40.0)
    assert supply.primary_a is not None
    assert supply.primary_a >= 40.0
    assert supply.opens
    assert supply.window_mm >= 9.0
    assert pump.carries_a == pytest.approx(9000 / (3 * 230 * 0.83))
    assert (heater.conductors, heater.channels) == (("L2",), ("heater [kW]",))
    assert heater.carries_a == pytest.approx(3000 / 230)
    assert oven.load == "oven"  # not told to be switched, but of 2 kW; the lamp of 60 W is not worth a channel
    assert oven.conductors == ("L1", "L2", "L3")  # nobody said on which conductor, so all of them


def test_protection_before_plate(tmp_path: Path) -> None:
    """A breaker that is known decides, then the current on the plate."""
    plate = OVEN + '[loads.wiring]\nplate_current = "7 A"\nconductors = "line and neutral"\n'
    assert points(tmp_path, HEAD + plate)[1].carries_a == 7.0
    assert points(tmp_path, HEAD + plate)[1].conductors == ("",)
    assert points(tmp_path, HEAD + plate + 'breaker = "16 A"\n')[1].carries_a == 16.0


def test_nothing_known(tmp_path: Path) -> None:
    """Without a supply there is no point yet; without its protection no clamp is named."""
    bare = HEAD[: HEAD.index("[supply]")]
    assert points(tmp_path, bare) == ()
    one = points(tmp_path, bare + '[supply]\nsystem = "split-phase"\nvoltage = "120 V"\n')[0]
    assert (one.conductors, one.carries_a, one.primary_a) == (("leg A", "leg B"), None, None)


def test_nothing_takes_it(tmp_path: Path) -> None:
    """A main protection beyond the range gets no clamp; one that only rings take says that they do not open."""
    huge = points(tmp_path, HEAD.replace("40 A", "9000 A"))[0]
    assert (huge.carries_a, huge.primary_a) == (9000.0, None)
    assert not points(tmp_path, HEAD.replace("40 A", "590 A"))[0].opens


def test_few_channels(tmp_path: Path) -> None:
    """Of many loads the largest get one, those that may be switched first."""
    many = "".join(OVEN.replace("oven", f"oven-{i}").replace("2 kW", f"{i + 1} kW") for i in range(12))
    (tmp_path / "job.toml").write_text(HEAD + many + HEATER)
    wanted = worth_a_channel(load_job(tmp_path).spec.loads)
    assert [one.id for one in wanted[:3]] == ["heater", "oven-11", "oven-10"]
    assert len(wanted) == 8


@pytest.mark.parametrize("system", ["single-phase", "split-phase", "three-phase"])
def test_our_readers_know_the_names(tmp_path: Path, system: str) -> None:
    """A file with the channels named so is read without being told anything: power in kW on the right conductor."""
    found = points(tmp_path, HEAD.replace("three-phase", system) + OVEN)
    names = [name for one in found for name in one.channels]
    rows = [
        f"2025-03-{3 + i // 24:02d} {i % 24:02d}:00," + ",".join(f"{k + 1}.{i % 7}5" for k in range(len(names)))
        for i in range(72)
    ]
    path = tmp_path / "log.csv"
    path.write_text("\n".join([",".join(["time", *names]), *rows]) + "\n")
    record = wattwright.read_record(path, zone="UTC")
    assert [one.meaning.quantity for one in record.channels] == [Quantity.ACTIVE_POWER] * len(names)
    told = {"L1": Phase.L1, "L2": Phase.L2, "L3": Phase.L3, "leg A": Phase.LEG_A, "leg B": Phase.LEG_B}
    assert [one.meaning.phase for one in record.channels][: len(found[0].conductors)] == [
        told[one] for one in found[0].conductors
    ]

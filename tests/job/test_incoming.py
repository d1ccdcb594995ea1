"""What feeds the rail of a job: strings of each array, isolators by their places, changeovers and bonds as answered."""

import pytest

from tests.handover.drawings.test_drawings import TITLE
from tests.handover.test_island_sheet import BATTERY, GENERATOR, INVERTER, ISLAND
from tests.job.pv import ARRAY, STRINGS
from tests.job.test_gearing import HEAD, HEATER
from wattwright.core.errors import JobError
from wattwright.gear.wiring.netlist import Terminal
from wattwright.gear.wiring.single_line import RAIL, SingleLine
from wattwright.handover.drawings.drawn import drawn_wires
from wattwright.handover.drawings.sheet import SIZES_MM, overlaps
from wattwright.handover.drawings.single_line import single_line_sheets
from wattwright.job.file import load_job
from wattwright.job.gearing import site_gear
from wattwright.job.incoming import incoming


def of(folder, *parts):
    """What feeds the rail of a job of these parts."""
    (folder / "job.toml").write_text(HEAD + HEATER + "".join(parts))
    job = load_job(folder)
    return incoming(site_gear(job, job.spec.control, {}, None, None), job.spec, job.spec.supply)


def says(source):
    """The words beside the devices of a source."""
    return {one.device: one.says for one in source.elements}


def test_strings_of_an_array(tmp_path):
    """Two strings of the most modules that fit: 50 V x (1 + 0.003 x 35) = 55.25 V cold, so 10 in 600 V (IEC 62548)."""
    (source,) = of(tmp_path, ARRAY, STRINGS).sources
    told = says(source)
    # 1.25 x 10 A short-circuit current (IEC 62548) is less than the fuse in it lets pass, 15 A: the conductor must carry that.
    # 4 mm2 carry 49 A x 0.58 at 70 degC x 0.80 beside another.
    # Nobody said how many are in series: neither the most that fit nor their voltage is drawn as if somebody had.
    assert told["PV 1"] == "2 x to be asked\n4 mm², 15 A"
    said = of(tmp_path, ARRAY, STRINGS.replace("parallel = 2", "parallel = 2\nseries = 10")).sources[0]
    assert says(said)["PV 1"] == "2 x 10 modules\ncold Voc 552 V\n4 mm², 15 A"
    assert told["PV 1 fuses"] == "fuses 15 A"
    assert told["PV 1 DC isolator"] == "DC isolator: roof hatch; surge protection"
    assert [(one.of, one.symbol) for one in source.branches] == [("PV 1 DC isolator", "surge")]
    assert [one.symbol for one in source.elements] == ["PV", "fuse", "isolator", "inverter", "isolator", "overcurrent"]


def test_strings_that_cannot_be_worked_out_and_arrays_without(tmp_path):
    """A cold table without a row leaves the number open; an array nobody described is to be asked; no fuses, no symbol."""
    unknown = STRINGS.replace('open_per_k = "-0.3 %"\n', "").replace('string_fuse = "15 A"\n', "").replace("-10 degC", "-12 degC")
    unknown = unknown.replace('surge = "fitted"\n', "").replace('isolator = "roof hatch"\n', "")
    first, second = of(tmp_path, ARRAY, ARRAY, unknown).sources
    assert says(first)["PV 1"] == "2 x to be asked"
    told = of(tmp_path, ARRAY, ARRAY, unknown.replace("parallel = 2", "parallel = 2\nseries = 9")).sources[0]
    assert says(told)["PV 1"] == "2 x 9 modules"
    assert says(first)["PV 1 DC isolator"] == "DC isolator: to be asked"
    assert "PV 1 fuses" not in says(first)
    assert first.branches == ()
    assert says(second)["PV 2"] == "strings: to be asked"


def test_three_strings_without_fuses_are_wired_for_what_comes_back(tmp_path):
    """1.25 x 2 x 10 A = 25 A: 4 mm2 carry 49 A x 0.58 x 0.70 = 19.9 A, 6 mm2 63 A x 0.58 x 0.70 = 25.6 A (IEC 60364-5-52)."""
    bare = STRINGS.replace("parallel = 2", "parallel = 3").replace('string_fuse = "15 A"\n', "")
    bare = bare.replace('short = "30 A"', 'short = "60 A"')
    (source,) = of(tmp_path, ARRAY, bare).sources
    assert says(source)["PV 1"].endswith("\n6 mm², 25 A")


def test_more_arrays_than_columns_stand_in_one(tmp_path):
    """All their strings in it."""
    (source,) = of(tmp_path, *[ARRAY] * 5, STRINGS).sources
    assert source.name == "5 PV arrays"
    assert says(source)["PV 0 inverter"] == "an inverter each"
    assert says(source)["PV 0"].startswith("2 x to be asked\n")


def test_a_conductor_beyond_the_tables_is_asked(tmp_path):
    """Air of 50 degC and 60 K more behind the modules lies beyond IEC 60364-5-52, Table B.52.14: nothing is guessed."""
    hot = STRINGS.replace("40 degC", "50 degC").replace("coldest", 'over_air = "60 delta_degC"\ncoldest')
    (source,) = of(tmp_path, ARRAY, hot).sources
    assert says(source)["PV 1"].endswith("\n? cable, 15 A")


@pytest.mark.parametrize(
    ("parts", "line", "wanted"),
    [
        ((ARRAY, STRINGS, STRINGS.replace("array = 1", "array = 2")), "array = 2", "arrays that are there: from 1 to 1"),
        ((STRINGS,), "array = 1", "a [[pv]] array that the strings belong to"),
        ((STRINGS.replace("array = 1\n", ""),), "[[strings]]", "a [[pv]] array that the strings belong to"),
        ((ARRAY, STRINGS.replace("array = 1", 'array = "arr2"')), 'array = "arr2"', "a whole number"),
    ],
)
def test_strings_of_an_array_that_is_not_there_are_refused(tmp_path, parts, line, wanted):
    """Arrays are numbered as they stand in the job; the fault names the line that does not."""
    with pytest.raises(JobError) as error:
        of(tmp_path, *parts)
    (fault,) = error.value.faults
    assert (tmp_path / "job.toml").read_text().splitlines()[fault.place.line - 1] == line
    assert wanted in fault.wanted


def test_changeovers_and_bonds_as_answered(tmp_path):
    """What was said stands in the drawing, what was not is to be asked."""
    made = of(tmp_path, INVERTER, BATTERY, GENERATOR, ISLAND, '[[island.isolation]]\nsource = "grid"\nwhere = "meter box"\n')
    told = {one.device: one.says for one in made.elements}
    assert "opens lines and neutral; interlock: electrical" in told["parting"]
    assert "which poles it opens: to be asked; interlock: to be asked" in told["changeover"]
    assert told["main protection"].endswith("isolates the grid: meter box")
    battery, generator = made.sources
    assert [one.symbol for one in battery.branches] == ["bond contact"]
    assert generator.branches == ()
    assert says(generator)["generator breaker"].endswith("bond of N to PE to be asked")
    assert made.earthing == "TN\nN bonded at the network"
    fixed = of(tmp_path, INVERTER, BATTERY, GENERATOR, ISLAND, '[island.generator]\nbond = "fixed"\n')
    assert [one.symbol for one in fixed.sources[1].branches] == ["bond"]
    none = of(tmp_path, INVERTER, BATTERY, '[island.inverter]\nbond = "none"\n')
    assert says(none.sources[0])["inverter isolator"].endswith("no bond of N to PE")


def test_feeders_of_sources_have_an_overcurrent_device(tmp_path):
    """Of battery, inverter, generator and array: with its rating where that was told, else to be asked; drawn on the sheet."""
    told = '[[island.protection]]\nsource = "{}"\nrating = "{}"\n'
    guards = told.format("inverter", "16 A") + told.format("generator", "32 A")
    made = of(tmp_path, ARRAY, STRINGS, INVERTER, BATTERY, GENERATOR, ISLAND, guards)
    array, battery, generator = map(says, made.sources)
    assert array["PV 1 protection"] == "at the board:\nto be asked"
    assert battery["battery protection"] == "overcurrent:\nto be asked"
    assert battery["inverter protection"] == "at the board:\n16 A"
    assert generator["generator breaker"].startswith("its breaker, 32 A: to be asked; bond")
    # A cable is protected where it starts from the board: the last device before the rail. That of a battery is at the battery.
    assert [one.elements[-1].device for one in made.sources[:2]] == ["PV 1 protection", "inverter protection"]
    assert [one.device for one in made.sources[1].elements][:2] == ["battery", "battery protection"]
    (beside,) = of(tmp_path, INVERTER.replace("carries the site in outages", "beside the grid"), BATTERY).sources
    assert beside.elements[-1].device == "inverter protection"
    unsaid, placed = (
        says(of(tmp_path, GENERATOR, more).sources[-1])["generator breaker"]
        for more in ("", '[[island.isolation]]\nsource = "generator"\nwhere = "shed"\n')
    )
    assert unsaid.startswith("its breaker: rating and place to be asked; bond")
    assert placed.startswith("its breaker: shed; rating to be asked; bond")
    (sheet,) = single_line_sheets(SingleLine(made, ()), "iec", [TITLE])
    assert [text.text for text in sheet.texts].count("I >") == 3
    # The rating stands whole beside the device: no word of it is cut off.
    drawn = [text.text for text in sheet.texts]
    assert "16 A" in drawn
    assert not any(one.endswith("\N{HORIZONTAL ELLIPSIS}") for one in drawn)
    assert any(
        set(ends) == {Terminal("battery", "2"), Terminal("battery protection", "1")} for ends in drawn_wires(sheet).values()
    )


def test_a_site_without_a_grid(tmp_path):
    """Nothing comes in; a generator gives its power to the inverter, and never stands beside it at the rail."""
    alone = INVERTER.replace("carries the site in outages", "stand-alone")
    made = of(tmp_path, alone, BATTERY, GENERATOR, '[island.generator]\nbond = "fixed"\n')
    assert made.elements == ()
    assert [one.ends for one in made.sources] == [RAIL, Terminal("inverter", "3")]
    assert made.earthing == "TN"
    (sheet,) = single_line_sheets(SingleLine(made, ()), "iec", [TITLE])
    assert any(
        set(ends) == {Terminal("generator breaker", "2"), Terminal("inverter", "3")} for ends in drawn_wires(sheet).values()
    )


def test_earthing_of_tt_and_of_nobody_knows(tmp_path):
    """With the resistance where it was measured; under the NEC the bond is at the service."""
    text = HEAD.replace('"TN"\nloop_impedance = "0.6 ohm"', '"TT"\nearth_resistance = "38 ohm"')
    (tmp_path / "job.toml").write_text(text + HEATER)
    job = load_job(tmp_path)
    made = site_gear(job, job.spec.control, {}, None, None)
    assert incoming(made, job.spec, job.spec.supply).earthing == "TT, 38 ohm\nN bonded at the network"
    (tmp_path / "job.toml").write_text(
        HEAD.replace('earthing = "TN"\n', "").replace("three-phase", "split-phase") + HEATER.replace("L2", "A")
    )
    job = load_job(tmp_path)
    made = site_gear(job, job.spec.control, {}, None, None)
    assert incoming(made, job.spec, job.spec.supply).earthing == "earthing: to be asked\nN bonded at the service"


LONG = "the wall behind the old boiler in the cellar of the second house, left of it all"


@pytest.mark.parametrize("size", list(SIZES_MM))
@pytest.mark.parametrize("role", ["carries the site in outages", "stand-alone", "beside the grid"])
def test_whatever_was_answered_can_be_drawn(tmp_path, size, role):
    """Five arrays with strings of six kinds, the longest places there may be, every source: what is too long ends in dots."""
    many = "".join(STRINGS.replace("array = 1", f"array = {1 + n % 5}\nseries = {n + 5}") for n in range(6))
    isolated = "".join(
        f'[[island.isolation]]\nsource = "{one}"\nwhere = "{LONG}"\n'
        for one in ("grid", "PV array", "battery", "inverter", "generator")
    )
    parts = (
        *[ARRAY] * 5,
        many.replace("roof hatch", LONG),
        INVERTER.replace("carries the site in outages", role),
        BATTERY,
        GENERATOR,
    )
    made = of(tmp_path, *parts, ISLAND, '[island.generator]\nbond = "fixed"\n', isolated)
    (sheet,) = single_line_sheets(SingleLine(made, ()), "iec", [TITLE], size)
    told = [text.text for text in sheet.texts]
    assert any(text.endswith("…") for text in told)
    assert overlaps(sheet.texts) == ()

"""ESPI files (NAESB REQ.21): the worked example, variants of it with totals by hand, and random feeds read back."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings, strategies as st

from tests.record.feeds import MIDNIGHT, WH, Meter, Point, R, feed
from tests.record.writing import Write
from wattwright.core.errors import RecordError
from wattwright.core.quality import Quality
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.core.show import Show
from wattwright.record.read import read_record, read_records
from wattwright.record.readers.espi_codes import quality_of, rule_words
from wattwright.record.record import Form, Record
from wattwright.record.spec import ColumnSpec, LayoutSpec

ZONE = "America/Toronto"
CLOCK = {"dstEndRule": "B40E2000", "dstOffset": "3600", "dstStartRule": "360E2000", "tzOffset": "-18000"}


def kwh(record: Record, channel: int = 0) -> list[float]:
    """The energy of each interval in kWh."""
    series = record.channels[channel].series
    return [round(float(v) * series.step_s / 3.6e6, 6) for v in series.values]


def codes(record: Record) -> set[str]:
    return {finding.code for finding in record.findings}


def hours(*values: int, **same: object) -> list[R]:
    """Readings of one hour each from midnight, each with its own time."""
    return [R(v, MIDNIGHT + 3600 * i, 3600, **same) for i, v in enumerate(values)]


def one(readings: list[R], **other: int) -> bytes:
    """A feed of one meter whose reading type differs from Wh import by the hour in ``other``."""
    return feed([Point([Meter(WH | other, [(MIDNIGHT, 3600 * len(readings), readings)])])])


def test_worked_example(write: Write) -> None:
    """0.450, 1.250, 0.800 kWh from 2024-01-01T05:00:00Z by the hour, the last estimated (9, linear), 2.500 kWh in all.

    Composed after the published schema (NAESB REQ.21): 450, 1250, 800 Wh at UTC-5.
    """
    readings = [*hours(450, 1250), R(800, MIDNIGHT + 7200, 3600, (9,))]
    record = read_record(write(feed([Point([Meter(WH, [(MIDNIGHT, 10800, readings)])])], clock=CLOCK)), ZONE)
    channel = record.channels[0]
    assert kwh(record) == [0.45, 1.25, 0.8]
    assert sum(kwh(record)) == 2.5
    assert (channel.series.start_s, channel.series.step_s) == (1704085200, 3600)
    assert channel.series.quality.tolist() == [Quality.VALID, Quality.VALID, Quality.ESTIMATED_LINEAR]
    assert channel.series.raw.tolist() == [450, 1250, 800]
    assert (channel.meaning.unit, channel.meaning.form, channel.meaning.direction) == ("Wh", Form.ENERGY, Direction.IMPORT)
    assert channel.meter == "main"
    clock = next(f for f in record.findings if f.code == "record.file-clock")
    assert clock.data["clock"] == "UTC-5 h, and +1 h from the second Sunday of March 02:00 to the first Sunday of November 02:00"


def test_same_without_links(write: Write) -> None:
    """Without any link the entries belong together by their order."""
    readings = hours(450, 1250, 800)
    record = read_record(write(feed([Point([Meter(WH, [(MIDNIGHT, 10800, readings)])])], links=False)), ZONE)
    assert kwh(record) == [0.45, 1.25, 0.8]


def test_scaled_down(write: Write) -> None:
    """450, 1250 and 800 thousandths of a Wh (multiplier -3) are 0.00045, 0.00125 and 0.0008 kWh."""
    record = read_record(write(one(hours(450, 1250, 800), powerOfTenMultiplier=-3)), ZONE)
    assert kwh(record) == [0.00045, 0.00125, 0.0008]
    assert record.channels[0].meaning.unit == "mWh"


def test_kilo_multiplier(write: Write) -> None:
    """3, 1 and 2 kWh (multiplier 3); with multiplier 2 the unit is a hundred Wh: 0.3, 0.1 and 0.2 kWh."""
    assert kwh(read_record(write(one(hours(3, 1, 2), powerOfTenMultiplier=3)), ZONE)) == [3, 1, 2]
    record = read_record(write(one(hours(3, 1, 2), powerOfTenMultiplier=2)), ZONE)
    assert (kwh(record), record.channels[0].meaning.unit) == ([0.3, 0.1, 0.2], "Wh × 10^2")


def test_reverse_flow(write: Write) -> None:
    """Direction 19 is export, its values positive; beside an import meter it is a second channel of the same record."""
    point = Point(
        [Meter(WH, [(MIDNIGHT, 7200, hours(450, 0))]), Meter(WH | {"flowDirection": 19}, [(MIDNIGHT, 7200, hours(0, 90))])]
    )
    record = read_record(write(feed([point])), ZONE)
    assert [c.meaning.direction for c in record.channels] == [Direction.IMPORT, Direction.EXPORT]
    assert (kwh(record), kwh(record, 1)) == ([0.45, 0], [0, 0.09])
    assert [c.id for c in record.channels] == ["wh-import", "wh-export"]


def test_without_own_time(write: Write) -> None:
    """Readings without a time follow one another at intervalLength from the start of the block."""
    record = read_record(write(one([R(450), R(1250), R(800)])), ZONE)
    assert (kwh(record), record.channels[0].series.start_s) == ([0.45, 1.25, 0.8], MIDNIGHT)


def test_without_time_and_length(write: Write) -> None:
    """Where neither reading nor type gives a length, the block's is shared by its readings: 10,800 s by three."""
    type_ = {tag: code for tag, code in WH.items() if tag != "intervalLength"}
    record = read_record(write(feed([Point([Meter(type_, [(MIDNIGHT, 10800, [R(450), R(1250), R(800)])])])])), ZONE)
    assert (kwh(record), record.channels[0].series.step_s) == ([0.45, 1.25, 0.8], 3600)


def test_across_daylight_saving(write: Write) -> None:
    """Seconds count on through the repeated hour: 25 hours of 100 Wh on 2024-11-03 in Toronto, 2.5 kWh, no gap."""
    start = 1730606400  # 2024-11-03T04:00:00Z, midnight at UTC-4
    record = read_record(write(feed([Point([Meter(WH, [(start, 90000, [R(100)] * 25)])])])), ZONE)
    assert (len(kwh(record)), round(sum(kwh(record)), 9), record.gaps) == (25, 2.5, ())


@pytest.mark.parametrize(
    ("given_codes", "kept"),
    [((8,), 8), ((9,), 9), ((0,), 0), ((17, 9), 9), ((9, 10), 10), ((5,), 16), ((19,), 19), ((), 0)],
)
def test_quality_is_kept(write: Write, given_codes: tuple[int, ...], kept: int) -> None:
    """A code stays as it is; of several the gravest stays; a code outside the list becomes 16 (other)."""
    record = read_record(write(one([*hours(1, 2), R(3, MIDNIGHT + 7200, 3600, given_codes)])), ZONE)
    assert record.channels[0].series.quality.tolist() == [0, 0, kept]
    assert quality_of(given_codes) == kept


def test_default_quality(write: Write) -> None:
    """The defaultQuality of the type holds where a reading has none of its own."""
    readings = [*hours(1, 2), R(3, MIDNIGHT + 7200, 3600, (8,))]
    record = read_record(write(one(readings, defaultQuality=17)), ZONE)
    assert record.channels[0].series.quality.tolist() == [17, 17, 8]


def test_two_usage_points(write: Write) -> None:
    """Two points are two records under their titles; one record is given only to who says which."""
    points = [Point([Meter(WH, [(MIDNIGHT, 3600 * 2, hours(i, 2 * i))])], title=t) for i, t in ((100, "House"), (300, "Barn"))]
    path = write(feed(points))
    records = read_records(path, ZONE)
    assert [(r.channels[0].meter, kwh(r)) for r in records] == [("House", [0.1, 0.2]), ("Barn", [0.3, 0.6])]
    with pytest.raises(RecordError, match='"House", "Barn"') as caught:
        read_record(path, ZONE)
    assert caught.value.faults[0].code == "record.several"
    for part in ("Barn", "2"):
        barn = read_record(path, ZONE, LayoutSpec(part=part), "barn")
        assert (kwh(barn), barn.channels[0].meter) == ([0.3, 0.6], "barn")
    with pytest.raises(RecordError) as caught:
        read_record(path, ZONE, LayoutSpec(part="Shed"))
    assert caught.value.faults[0].code == "record.no-part"


def test_two_steps_are_two_records(write: Write) -> None:
    """Import by the hour and export by the half hour share no step: two records of one point."""
    export = Meter(WH | {"flowDirection": 19, "intervalLength": 1800}, [(MIDNIGHT, 7200, [R(1), R(2), R(3), R(4)])])
    records = read_records(write(feed([Point([Meter(WH, [(MIDNIGHT, 7200, [R(5), R(6)])]), export])])), ZONE)
    assert [(r.channels[0].series.step_s, kwh(r)) for r in records] == [
        (1800, [0.001, 0.002, 0.003, 0.004]),
        (3600, [0.005, 0.006]),
    ]


def test_blocks_that_overlap_and_agree(write: Write) -> None:
    """An hour that stands in two blocks alike counts once, also beside an export channel that gives it once."""
    readings = hours(450, 1250, 800)
    meter = Meter(WH, [(MIDNIGHT, 7200, readings[:2]), (MIDNIGHT + 3600, 7200, readings[1:])])
    export = Meter(WH | {"flowDirection": 19}, [(MIDNIGHT, 10800, hours(1, 2, 3))])
    record = read_record(write(feed([Point([meter, export])])), ZONE)
    assert (kwh(record), kwh(record, 1)) == ([0.45, 1.25, 0.8], [0.001, 0.002, 0.003])
    assert "record.repeated-rows" in codes(record)
    assert "record.rows-disagree" not in codes(record)


def test_blocks_that_overlap_and_disagree(write: Write) -> None:
    """Of two values for an hour the first stays and is questionable."""
    readings = hours(*range(100, 130))
    again = R(999, MIDNIGHT + 3600 * 4, 3600)
    record = read_record(write(feed([Point([Meter(WH, [(MIDNIGHT, 108000, readings), (MIDNIGHT, 3600, [again])])])])), ZONE)
    assert kwh(record)[4] == 0.104
    assert record.channels[0].series.quality[4] == Quality.QUESTIONABLE
    assert "record.rows-disagree" in codes(record)


def test_gap_between_blocks(write: Write) -> None:
    """An hour that no block holds is missing: 0.45 + 0.8 kWh, one gap of one interval."""
    meter = Meter(WH, [(MIDNIGHT, 3600, [R(450)]), (MIDNIGHT + 7200, 3600, [R(800)])])
    record = read_record(write(feed([Point([meter])])), ZONE)
    assert (kwh(record)[0], kwh(record)[2], [(g.start_s, g.intervals) for g in record.gaps]) == (
        0.45,
        0.8,
        [(MIDNIGHT + 3600, 1)],
    )


def test_reading_without_value(write: Write) -> None:
    """A reading without a value is missing, whatever its quality."""
    record = read_record(write(one([*hours(1, 2), R(None, MIDNIGHT + 7200, 3600, (9,)), R(4, MIDNIGHT + 10800, 3600)])), ZONE)
    assert record.channels[0].series.quality.tolist() == [0, 0, Quality.MISSING, 0]


def test_without_reading_type(write: Write) -> None:
    """Without a reading type nothing says the unit: refused, or read by what a person says."""
    path = write(feed([Point([Meter(None, [(MIDNIGHT, 10800, hours(450, 1250, 800))])])]))
    with pytest.raises(RecordError) as caught:
        read_record(path, ZONE)
    assert caught.value.faults[0].code == "record.no-reading"
    said = ColumnSpec(column="reading", quantity=Quantity.ACTIVE_POWER, form=Form.ENERGY, unit="Wh")
    assert kwh(read_record(path, ZONE, LayoutSpec(columns=(said,)))) == [0.45, 1.25, 0.8]


def test_average_power(write: Write) -> None:
    """The unit with code 38 is a mean power: 2000 W over a quarter of an hour is 0.5 kWh."""
    readings = [R(v, MIDNIGHT + 900 * i, 900) for i, v in enumerate((2000, 4000))]
    record = read_record(write(one(readings, uom=38, kind=37, intervalLength=900, accumulationBehaviour=0)), ZONE)
    assert (record.channels[0].series.values.tolist(), kwh(record)) == ([2000, 4000], [0.5, 1.0])


def test_register(write: Write) -> None:
    """A bulk quantity (behaviour 1) is a register: 10,000 and 10,450 Wh make 0.45 kWh between the two."""
    record = read_record(write(one(hours(10000, 10450, 11700), accumulationBehaviour=1)), ZONE)
    assert (record.channels[0].meaning.form, kwh(record)[:2], record.gaps) == (Form.REGISTER, [0.45, 1.25], ())


def test_other_units(write: Write) -> None:
    """Volts, amperes of L2 and the power factor are channels of their own; gallons are left out with a word."""
    kinds = [{"uom": 29}, {"uom": 5, "phase": 64}, {"uom": 65, "powerOfTenMultiplier": -2}, {"uom": 128}]
    meters = [Meter(WH | other, [(MIDNIGHT, 7200, hours(97, 98))]) for other in kinds]
    record = read_record(write(feed([Point(meters)])), ZONE)
    found = [(c.meaning.quantity, c.meaning.phase, c.series.values.tolist()) for c in record.channels]
    assert found == [
        (Quantity.VOLTAGE, Phase.TOTAL, [97, 98]),
        (Quantity.CURRENT, Phase.L2, [97, 98]),
        (Quantity.POWER_FACTOR, Phase.TOTAL, [0.97, 0.98]),
    ]
    assert "record.other-unit" in codes(record)


def test_gas_and_cost(write: Write) -> None:
    """A gas meter beside is left aside, a cost is told as left aside, gas alone is refused."""
    gas = Point([Meter(WH | {"uom": 169}, [(MIDNIGHT, 7200, hours(5, 6))])], service=1)
    power = Point([Meter(WH, [(MIDNIGHT, 7200, hours(450, 1250, cost=120))])])
    record = read_record(write(feed([gas, power])), ZONE)
    cost = next(f for f in record.findings if f.code == "record.cost-left")
    assert (kwh(record), cost.data["count"]) == ([0.45, 1.25], 2)
    assert cost.says(Show()).startswith("Readings that carry a cost: 2")
    with pytest.raises(RecordError, match="another commodity"):
        read_record(write(feed([gas])), ZONE)


def test_elements_without_entries(write: Write) -> None:
    """Elements that stand without Atom entries belong together by their order."""
    content = feed([Point([Meter(WH, [(MIDNIGHT, 7200, hours(450, 1250))])])], links=False).decode()
    for tag in ("entry", "content"):
        content = content.replace(f"<ns0:{tag}>", "").replace(f"</ns0:{tag}>", "")
    content = content.replace("<ns0:title />", "")
    assert "entry" not in content
    assert kwh(read_record(write(content), ZONE)) == [0.45, 1.25]


@pytest.mark.parametrize(
    ("rule", "words"),
    [
        ("360E2000", "the second Sunday of March 02:00"), ("B40E2000", "the first Sunday of November 02:00"),
        ("3E0E2000", "the last Sunday of March 02:00"), ("AE0E3000", "the last Sunday of October 03:00"),
        ("FFFFFFFF", ""), ("", ""), ("40102000", "1 April 02:00"), ("428E2000", "the Sunday on or after 8 April 02:00"),
    ],
)  # fmt: skip
def test_rules_of_the_clock(rule: str, words: str) -> None:
    """The first two as widely used, the next two and the last by the bits of the standard."""
    assert rule_words(rule) == words


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_random_feeds_come_back(data: st.DataObject, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Values times ten to the power, starts, step and quality come back as written, with or without times and links."""
    step = data.draw(st.sampled_from([60, 300, 900, 1800, 3600]))
    power = data.draw(st.integers(-3, 3))
    values = data.draw(st.lists(st.integers(-(10**7), 10**7), min_size=2, max_size=40))
    # 10^7 x 10^3 Wh in a minute are 6 x 10^11 W; what is above 10^12 W is refused.
    quality = data.draw(
        st.lists(st.sampled_from([0, 7, 8, 9, 10, 11, 14, 17, 18, 19]), min_size=len(values), max_size=len(values))
    )
    timed = data.draw(st.booleans())
    start = 1_700_000_100 // step * step
    rows = [R(v, start + step * i if timed else None, step, (q,)) for i, (v, q) in enumerate(zip(values, quality, strict=True))]
    cut = data.draw(st.integers(1, len(rows)))
    blocks = [(start, step * cut, rows[:cut])] + (
        [(start + step * cut, step * (len(rows) - cut), rows[cut:])] if rows[cut:] else []
    )
    type_ = WH | {"intervalLength": step, "powerOfTenMultiplier": power, "flowDirection": 4}
    path: Path = tmp_path_factory.mktemp("feed") / "meter.xml"
    path.write_bytes(feed([Point([Meter(type_, blocks)])], links=data.draw(st.booleans())))
    series = read_record(path, ZONE).channels[0].series
    assert (series.start_s, series.step_s) == (start, step)
    np.testing.assert_allclose(series.values, np.array(values) * 10.0**power * 3600 / step, rtol=1e-12)
    assert series.quality.tolist() == quality
    assert series.raw.tolist() == values


def test_two_types_without_links(write: Write) -> None:
    """Without links each meter reading has the reading type that stands between it and the next."""
    meters = [Meter(WH | {"flowDirection": way}, [(MIDNIGHT, 7200, hours(way, 2 * way))]) for way in (1, 19)]
    record = read_record(write(feed([Point(meters)], links=False)), ZONE)
    assert [(c.meaning.direction, c.series.raw.tolist()) for c in record.channels] == [
        (Direction.IMPORT, [1, 2]),
        (Direction.EXPORT, [19, 38]),
    ]


@pytest.mark.parametrize(("inside", "named"), [("", False), (' [<!ENTITY a "b">]', True)])
def test_document_type_is_refused_by_its_name(write: Write, inside: str, named: bool) -> None:
    """The error says that it is the document type, that entities are why, and what to take out."""
    text = f'<?xml version="1.0"?>\n<!DOCTYPE feed{inside}>\n<feed xmlns="http://naesb.org/espi"><entry/></feed>\n'
    with pytest.raises(RecordError) as told:
        read_record(write(text), "UTC")
    fault = told.value.faults[0]
    assert "<!DOCTYPE" in fault.found
    assert ("defines entities" in fault.found) is named
    assert "may define entities" in fault.wanted
    assert "Take the lines" in fault.next_step


def test_gas_by_its_reading_type_alone(write: Write) -> None:
    """Commodity 7 is gas (NAESB REQ.21), whatever the usage point says: left out beside electricity, refused alone."""
    gas = Meter(WH | {"commodity": 7}, [(MIDNIGHT, 7200, hours(9000, 9000))])
    record = read_record(write(feed([Point([gas, Meter(WH, [(MIDNIGHT, 7200, hours(450, 50))])])])), ZONE)
    assert [kwh(record, i) for i in range(len(record.channels))] == [[0.45, 0.05]]
    with pytest.raises(RecordError, match="another commodity only"):
        read_record(write(feed([Point([gas])])), ZONE)

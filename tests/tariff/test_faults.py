"""A faulty tariff file is answered with every fault, its line and what to do."""

import json
from datetime import date
from decimal import Decimal
from pathlib import Path

import jsonschema
import pytest

from wattwright.core.errors import FileError, TariffError
from wattwright.tariff.bill import bill, bill_of_totals
from wattwright.tariff.load import load_tariff, parse_tariff, tariff_schema
from wattwright.tariff.usage import Totals

HEAD = '[[tariff]]\nid = "one"\nname = "One"\ncurrency = "EUR"\n'
FLAT = '[[tariff.energy]]\nlabel = "Energy"\nprice = "0.20"\n'
NIGHT = '[[tariff.window]]\nperiod = "night"\nfrom = "22:00"\nto = "06:00"\n'
SEASON = '[[tariff.season]]\nname = "cold"\nranges = [{ from = "11-01", to = "03-31" }]\n'
EXPORT = '[tariff.export]\nlabel = "Export"\n'
DEMAND = '[[tariff.demand]]\nlabel = "Demand"\nprice = "1"\n'
LEVY = '[[tariff.levy]]\nlabel = "Levy"\n'


def faults(text):
    """Code, line and sentence of each fault in a file."""
    with pytest.raises(TariffError) as caught:
        parse_tariff(text)
    return [(fault.code, fault.place.line, fault.sentence()) for fault in caught.value.faults]


CASES = {
    "a currency nobody knows": (HEAD.replace("EUR", "QQQ") + FLAT, "tariff.currency", 4, "ISO 4217"),
    "from after to": (HEAD + "from = 2025-02-01\nto = 2025-01-01\n" + FLAT, "tariff.dates", 6, "not before 2025-02-01"),
    "a country nobody knows": (HEAD + 'holidays = { country = "QQ" }\n' + FLAT, "tariff.holidays", 5, "country by its two"),
    "two charges with one label": (
        HEAD + FLAT + '[[tariff.fixed]]\nlabel = "Energy"\nprice = "1"\nper = "day"\n',
        "tariff.label",
        6,
        "no other charge has",
    ),
    "a season nobody knows": (HEAD + NIGHT + 'seasons = ["cold"]\n' + FLAT, "tariff.season", 9, "tariff.season"),
    "a season misspelt": (
        HEAD + 'rest = "day"\n' + SEASON + NIGHT + 'seasons = ["cool"]\n' + FLAT,
        "tariff.season",
        13,
        "one of cold",
    ),
    "a window without length": (HEAD + NIGHT.replace("06:00", "22:00") + FLAT, "tariff.window", 8, "another time"),
    "seasons that overlap": (
        HEAD + 'rest = "day"\n' + SEASON + SEASON.replace("cold", "wet") + FLAT,
        "tariff.seasons-overlap",
        9,
        '"wet" sharing days with "cold"',
    ),
    "a window behind another": (HEAD + 'rest = "day"\n' + NIGHT + NIGHT + FLAT, "tariff.window-hidden", 10, "earlier windows"),
    "hours without a period": (HEAD + NIGHT + FLAT, "tariff.gap", 5, "no price period at 06:00 on Monday"),
    "hours of a season without a period": (
        HEAD + SEASON + NIGHT.replace("22:00", "00:00").replace("06:00", "24:00") + 'seasons = ["cold"]\n' + FLAT,
        "tariff.gap",
        8,
        "00:00 on Monday, for example 04-01",
    ),
    "a period nobody knows": (
        HEAD + 'rest = "day"\n' + NIGHT + FLAT.replace('price = "0.20"', 'prices = { nigth = "1", day = "1", night = "1" }'),
        "tariff.period",
        12,
        '"nigth"',
    ),
    "a rest of nothing": (
        HEAD + 'rest = "day"\n[[tariff.window]]\nperiod = "night"\n' + FLAT,
        "tariff.rest",
        5,
        "hours left over",
    ),
    "two ways to price": (HEAD + FLAT + 'prices = { all = "1" }\n', "tariff.prices", 5, "one of price, prices or blocks"),
    "no price": (HEAD + FLAT.replace('price = "0.20"\n', ""), "tariff.prices", 5, "no price"),
    "periods beside prices": (
        HEAD + FLAT.replace('price = "0.20"', 'prices = { all = "1" }\nperiods = ["all"]'),
        "tariff.prices",
        8,
        "one of the two",
    ),
    "a period priced twice": (HEAD + FLAT + FLAT, "tariff.priced-twice", 8, "a second price"),
    "a period without a price": (
        HEAD + 'rest = "day"\n' + NIGHT + FLAT + 'periods = ["day"]\n',
        "tariff.unpriced",
        10,
        'no price for "night"',
    ),
    "blocks without a last": (
        HEAD + FLAT.replace('price = "0.20"', 'blocks = [{ upto_kwh = "5", price = "1" }]'),
        "tariff.blocks",
        7,
        "no upper end on the last",
    ),
    "blocks open in the middle": (
        HEAD + FLAT.replace('price = "0.20"', 'blocks = [{ price = "1" }, { price = "2" }]'),
        "tariff.blocks",
        7,
        "every block but the last",
    ),
    "blocks out of order": (
        HEAD
        + FLAT.replace(
            'price = "0.20"', 'blocks = [{ upto_kwh = "5", price = "1" }, { upto_kwh = "4", price = "1" }, { price = "2" }]'
        ),
        "tariff.blocks",
        7,
        "an end above 5",
    ),
    "days of blocks without blocks": (HEAD + FLAT + "block_days = 30\n", "tariff.blocks", 8, "blocks of a month"),
    "no contracted kVA": (
        HEAD + FLAT + '[[tariff.fixed]]\nlabel = "F"\nprice = "1"\nper = "day"\nof = "contracted kVA"\n',
        "tariff.contracted",
        12,
        'kva = "..."',
    ),
    "no contracted kW": (HEAD + FLAT + DEMAND + 'minimum_share = "0.5"\n', "tariff.contracted", 11, "the contracted kW"),
    "a window of 20 minutes": (
        HEAD + FLAT + DEMAND + 'window = "20 min"\n',
        "tariff.demand-window",
        11,
        "15 min, 30 min or 60 min",
    ),
    "a target power factor for kVA": (
        HEAD + FLAT + DEMAND + 'quantity = "kVA"\ntarget_power_factor = "0.9"\n',
        "tariff.power-factor",
        12,
        "only where kW are billed",
    ),
    "an export without a price": (HEAD + FLAT + EXPORT, "tariff.prices", 8, "one of price or prices"),
    "an export with two": (
        HEAD + FLAT + EXPORT + 'price = "1"\nprices = { all = "1" }\n',
        "tariff.prices",
        8,
        "price and prices",
    ),
    "an export period without a price": (
        HEAD + 'rest = "day"\n' + NIGHT + FLAT + EXPORT + 'prices = { day = "1" }\n',
        "tariff.unpriced",
        15,
        'no price for "night"',
    ),
    "a surplus without netting": (
        HEAD + FLAT + EXPORT + 'price = "1"\nsurplus = "lost"\n',
        "tariff.surplus",
        11,
        'netting = "each bill"',
    ),
    "a settlement of nothing": (
        HEAD + FLAT + EXPORT + 'price = "1"\nsettlement_month = 1\n',
        "tariff.surplus",
        11,
        'surplus = "carried"',
    ),
    "netting over bills beside blocks per day": (
        HEAD
        + FLAT.replace('price = "0.20"', 'blocks = [{ price = "1" }]\nblocks_per = "day"')
        + EXPORT
        + 'price = "1"\nnetting = "each bill"\n',
        "tariff.netting",
        12,
        "another netting",
    ),
    "a levy of nothing": (HEAD + FLAT + LEVY, "tariff.levy", 8, "neither price nor percent"),
    "a levy of both": (HEAD + FLAT + LEVY + 'price = "1"\npercent = "1"\n', "tariff.levy", 8, "price and percent"),
    "a levy per kWh of lines": (HEAD + FLAT + LEVY + 'price = "1"\nof = ["Energy"]\n', "tariff.levy", 11, "only beside percent"),
    "a levy of a line after it": (
        HEAD + FLAT + LEVY + 'percent = "1"\nof = ["VAT"]\n' + LEVY.replace("Levy", "VAT") + 'percent = "1"\n',
        "tariff.levy-of",
        11,
        "a line before it: Energy",
    ),
    "versions that overlap": (
        HEAD + "from = 2025-01-01\n" + FLAT + HEAD + "from = 2025-06-01\n" + FLAT,
        "tariff.versions-overlap",
        13,
        "end on 2025-05-31",
    ),
    "versions without dates": (HEAD + FLAT + HEAD + FLAT, "tariff.versions-overlap", 9, "Give each its from and to"),
    "versions in two currencies": (
        HEAD + "to = 2025-01-01\n" + FLAT + HEAD.replace("EUR", "USD") + "from = 2025-01-02\n" + FLAT,
        "tariff.currency",
        12,
        "EUR, as in the other version",
    ),
    "an id with a space": (HEAD.replace('"one"', '"Day Night"') + FLAT, "spec.value_error", 2, "Write for example day-night."),
    "an id of signs": (HEAD.replace('"one"', '"-"') + FLAT, "spec.value_error", 2, "small letters, digits and hyphens"),
    "a currency in words": (HEAD.replace("EUR", "EURO") + FLAT, "spec.value_error", 4, "three capital letters"),
    "a price that is no text": (HEAD + FLAT.replace('"0.20"', "0.20"), "spec.value_error", 7, "Put it in quotes"),
    "a price with a comma": (HEAD + FLAT.replace("0.20", "0,20"), "spec.value_error", 7, "decimal point"),
    "a price without end": (HEAD + FLAT.replace("0.20", "0.1234567890123"), "spec.value_error", 7, "nine behind"),
    "a time that is none": (HEAD + NIGHT.replace("22:00", "25:00") + FLAT, "spec.value_error", 7, '"00:00" to "24:00"'),
    "a time without its nought": (HEAD + NIGHT.replace("06:00", "6:00") + FLAT, "spec.value_error", 8, '"00:00" to "24:00"'),
    "a week for a day": (HEAD + SEASON.replace("11-01", "W01-1") + FLAT, "spec.value_error", 7, "month and day"),
    "a minimum below nought": (HEAD + FLAT + DEMAND + 'minimum = "-1"\n', "spec.greater_than_equal", 11, "at least 0"),
    "a number not in text": (HEAD + FLAT + DEMAND + "minimum = 1.5\n", "spec.value_error", 11, "in quotes"),
    "a day that is none": (HEAD + SEASON.replace("11-01", "13-01") + FLAT, "spec.value_error", 7, "month and day"),
    "no tariff at all": ("tariff = []\n", "spec.value_error", 1, "at least one"),
    "an entry nobody knows": (HEAD + 'currancy = "EUR"\n' + FLAT, "spec.extra_forbidden", 5, "Did you mean currency?"),
}


@pytest.mark.parametrize("case", CASES)
def test_each_fault_has_its_line(case: str) -> None:
    """Each fault of a tariff file is found, alone, at its line, with what was wanted."""
    text, code, line, part = CASES[case]
    found = faults(text)
    assert [(one[0], one[1]) for one in found] == [(code, line)]
    assert part in found[0][2]


def test_all_faults_at_once() -> None:
    """Three faults in one file are reported together, in the order of its lines."""
    text = HEAD.replace("EUR", "QQQ") + 'rest = "day"\n' + NIGHT + NIGHT + FLAT + 'periods = ["dawn"]\n'
    assert [code for code, _, _ in faults(text)] == [
        "tariff.currency", "tariff.window-hidden", "tariff.unpriced", "tariff.unpriced", "tariff.period"
    ]  # fmt: skip


def test_falling_blocks_that_also_end() -> None:
    """Blocks to 500 and then 300, without an open one: the missing end and the falling order are both told."""
    text = HEAD + FLAT.replace(
        'price = "0.20"', 'blocks = [{ upto_kwh = "500", price = "1" }, { upto_kwh = "300", price = "2" }]'
    )
    found = faults(text)
    assert [(code, line) for code, line, _ in found] == [("tariff.blocks", 7), ("tariff.blocks", 7)]
    assert "no upper end on the last block" in found[0][2]
    assert "found 300; expected an end above 500" in found[1][2]


def test_faults_of_entries_and_between_them_together() -> None:
    """A price without quotes in one tariff, hours without a period in it, and an unknown season in another: all three at once."""
    faulty = HEAD + FLAT.replace('"0.20"', "0.20") + NIGHT
    other = HEAD.replace("one", "two") + 'rest = "day"\n' + NIGHT + 'seasons = ["cold"]\n' + FLAT
    assert [(code, line) for code, line, _ in faults(faulty + other)] == [
        ("spec.value_error", 7), ("tariff.gap", 8), ("tariff.season", 21)
    ]  # fmt: skip


def test_what_depends_on_a_broken_table_waits() -> None:
    """With windows that cannot be read, periods in prices are not called unknown; the currency still is."""
    text = (
        HEAD.replace("EUR", "QQQ") + NIGHT.replace("22:00", "25:00") + FLAT.replace('price = "0.20"', 'prices = { night = "1" }')
    )
    assert [(code, line) for code, line, _ in faults(text)] == [("tariff.currency", 4), ("spec.value_error", 7)]


@pytest.mark.parametrize("text", ["tariff = 1\n", "tariff = [1]\n"])
def test_tariff_that_is_no_table(text: str) -> None:
    """A tariff that is no table is told, and nothing else breaks on it."""
    assert [line for _, line, _ in faults(text)] == [1]


def test_file_that_is_not_there(tmp_path: Path) -> None:
    """A missing file is said to be missing."""
    with pytest.raises(FileError, match="no such file"):
        load_tariff(tmp_path / "none.toml")


def test_tariffs_by_their_ids(examples) -> None:
    """A file of two tariffs needs the id; an unknown id lists the known ones."""
    file = load_tariff(examples / "worked-bill-3.toml")
    assert [one.id for one in file.tariffs] == ["flat", "time-of-day"]
    assert file.tariff("flat").name == "One price"
    with pytest.raises(TariffError, match="2 tariffs"):
        file.tariff()
    with pytest.raises(TariffError, match="flat, time-of-day"):
        file.tariff("none")


def test_every_example_loads(examples) -> None:
    """Each example file is a valid tariff, and says where its prices stand."""
    files = sorted(examples.glob("*.toml"))
    assert len(files) >= 5
    for path in files:
        assert all(version.source for one in load_tariff(path).tariffs for version in one.versions)


def test_schema_describes_every_entry(examples) -> None:
    """The JSON schema is one, and every entry of every table has a description."""
    schema = tariff_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    tables = [schema, *schema["$defs"].values()]
    bare = [(table["title"], name) for table in tables for name, one in table["properties"].items() if "description" not in one]
    assert bare == []
    assert json.dumps(schema)


def test_day_without_prices(athens, steady) -> None:
    """A record that runs past the last day of a tariff is refused, with the day."""
    one = parse_tariff(HEAD + "to = 2025-01-15\n" + FLAT).tariff()
    with pytest.raises(TariffError, match="2025-01-16"):
        bill(one, steady("2025-01-01", "2025-02-01"), athens)


@pytest.mark.parametrize(
    ("text", "totals", "part"),
    [
        (FLAT, {"energy_kwh": {"night": Decimal(1)}}, "a price period: all"),
        (FLAT, {"energy_kwh": {}, "demand": {"Demand": Decimal(1)}}, "a demand charge: none"),
        (FLAT + DEMAND, {"energy_kwh": {}}, "the demand billed as Demand"),
        (
            FLAT.replace('price = "0.20"', 'blocks = [{ price = "1" }]\nblocks_per = "day"'),
            {"energy_kwh": {}},
            "readings of each day",
        ),
    ],
)
def test_totals_that_do_not_fit(text: str, totals, part: str) -> None:
    """Totals of a period or demand the tariff does not have, or lacking one it needs, are refused."""
    with pytest.raises(TariffError, match=part):
        bill_of_totals(parse_tariff(HEAD + text).tariff(), Totals(date(2025, 1, 1), **totals))

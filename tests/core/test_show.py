"""Numbers as people read them: digits, marks of the language, units, and nothing claimed that is not so."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import assume, given, strategies as st

from wattwright.core.errors import OwnFault
from wattwright.core.money import Money
from wattwright.core.show import MISSING, THIN, Show

NAN = float("nan")
EN, DE, FR, US = Show(), Show("de_DE"), Show("fr_FR"), Show("en_US", "US", "America/Toronto")
MINUS = "\N{MINUS SIGN}"


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [
        (9.994, 3, "9.99"),
        (9.995, 3, "10.0"),  # rounds to 10, which has two digits before the mark and one behind
        (9.996, 3, "10.0"),
        (99.96, 3, "100"),
        (0.09996, 3, "0.100"),
        (0.9996, 3, "1.00"),
        (999.6, 3, "1,000"),
        (123456.0, 3, "123,456"),  # never fewer digits than the whole part has
        (0.0001234, 3, "0.00012"),  # at most two decimals more where nought stands before the mark
        (0.0, 3, "0.00"),
        (-0.0, 3, "0.00"),
        (-1.5, 3, f"{MINUS}1.50"),
        (-9.999, 3, f"{MINUS}10.0"),
        (NAN, 3, MISSING),
        (float("inf"), 3, MISSING),
        (-1e-9, 3, "0.00"),  # what rounds to nought is shown as nought
        (5, 1, "5"),
        (Decimal("2.50"), 3, "2.50"),
        (1477.0, 4, "1,477"),
        (1e22, 3, "10,000,000,000,000,000,000,000"),
    ],
)
def test_number_has_so_many_digits(value, digits, text):
    """Three digits stay three when rounding carries into another place; nought has no sign; what is not a number is a dash."""
    assert EN.number(value, digits) == text


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (3.0, "3"),
        (3.6, "3.6"),
        (26.04, "26"),
        (0.0, "0"),
        (1234.5, "1,234"),
        (0.00123, "0.00123"),
        (-2.37, f"{MINUS}2.37"),
        (NAN, MISSING),
    ],
)
def test_a_nominal_figure_has_no_nought_at_its_end(value, text):
    """A rating stands as it is sold: 3 and 3.6, never 3.00."""
    assert EN.nominal(value) == text


def test_a_rating_is_told_in_thousands_of_its_unit():
    """From one thousand on in kilo, and in templates by its own way."""
    assert (EN.rating(3600.0), EN.rating(800.0, "VA"), DE.rating(3600.0)) == (f"3.6{THIN}kW", f"800{THIN}VA", f"3,6{THIN}kW")
    assert (EN.value(15000.0, "rating"), EN.value(26.0, "size")) == (f"15{THIN}kVA", f"26{THIN}kWh")


@given(st.floats(1e-2, 1e8), st.integers(1, 6))
def test_number_is_within_half_of_its_last_digit(value, digits):
    """What is shown differs from the value by at most half a unit in the last place shown."""
    shown = EN.number(value, digits).replace(",", "")
    last = Fraction(1, 10 ** len(shown.partition(".")[2]))
    assert abs(Fraction(shown) - Fraction(repr(value))) <= last / 2
    significant = len(shown.replace(".", "").lstrip("0"))
    assert significant == digits or (significant > digits and "." not in shown)


@pytest.mark.parametrize(
    ("show", "value", "decimals", "text"),
    [
        (EN, 1234567.891, 2, "1,234,567.89"),
        (DE, 1234567.891, 2, "1.234.567,89"),
        (FR, 1234567.891, 2, f"1{THIN}234{THIN}567,89"),  # CLDR: narrow no-break space
        (EN, -0.4, 0, "0"),
        (EN, -0.6, 0, f"{MINUS}1"),
        (DE, -1234.5, 1, f"{MINUS}1.234,5"),
        (EN, NAN, 1, MISSING),
        (EN, 0.125, 2, "0.12"),  # half to even, as CLDR's own formatter does
    ],
)
def test_fixed_groups_as_the_locale_does(show, value, decimals, text):
    """Grouping and decimal mark are CLDR's for British, German and French; a number that rounds to nought has no sign."""
    assert show.fixed(value, decimals) == text


@pytest.mark.parametrize(
    ("power_w", "text"),
    [
        (999.4, f"999{THIN}W"),
        (999.6, f"1.00{THIN}kW"),  # what rounds to 1000 W is a kilowatt
        (1000.0, f"1.00{THIN}kW"),
        (9995.0, f"10.0{THIN}kW"),
        (-999.6, f"{MINUS}1.00{THIN}kW"),
        (-300.0, f"{MINUS}300{THIN}W"),
        (9410.0, f"9.41{THIN}kW"),
        (NAN, f"{MISSING}{THIN}kW"),
    ],
)
def test_power_in_watts_below_a_kilowatt(power_w, text):
    """Watts below one kilowatt, as rounded, and kilowatts from there; a narrow no-break space before the unit."""
    assert EN.power(power_w) == text


@pytest.mark.parametrize(
    ("value", "text"),
    [(2.4, "2.4"), (63.0, "63"), (0.1642, "0.1642"), (1500.25, "1,500.25"), (NAN, MISSING), (Decimal("0.100"), "0.1"), (0, "0")],
)
def test_plain_number_has_the_decimals_it_was_written_with(value, text):
    """Ratings and rates show no digit more than a person wrote."""
    assert EN.plain(value) == text


def test_power_and_energy_in_full():
    """Meter totals keep their own digits where decimals are asked for."""
    assert EN.kilowatts(9410.0) == f"9.410{THIN}kW"
    assert EN.energy(1209.42, 2) == f"1,209.42{THIN}kWh"
    assert EN.energy(1209.42) == f"1,209{THIN}kWh"
    assert DE.energy(0.5) == f"0,500{THIN}kWh"
    assert EN.energy(0.001) == f"0.001{THIN}kWh"
    assert EN.energy(0.0004) == f"0.0004{THIN}kWh"
    assert EN.energy(-0.25) == f"\N{MINUS SIGN}0.250{THIN}kWh"
    assert EN.percent(0.157) == f"15.7{THIN}%"


@pytest.mark.parametrize(
    ("share", "text"),
    [
        (1.0, "100"),
        (0.999_999_9, "99.999"),
        (84_956 / 84_960, "99.995"),  # 99.99529 %: four minutes of 84,960
        (0.999, "99.900"),
        (0.998_99, "99.8"),
        (29 / 50, "58.0"),  # exactly 58 %, though 100 * 0.58 is a hair below it in binary
        (0.0, "0.0"),
    ],
)
def test_completeness_at_the_edges(share, text):
    """Completeness is rounded down, exactly, with more decimals close to the whole."""
    assert EN.completeness(share) == f"{text}{THIN}%"


@given(st.integers(1, 10**7), st.integers(0, 10**7))
def test_completeness_never_claims_more_than_there_is(intervals, missing):
    """Only a record without a gap is 100 % complete, and no share is shown higher than it is."""
    assume(missing <= intervals)
    share = (intervals - missing) / intervals
    shown = Fraction(EN.completeness(share).split(THIN)[0])
    assert (shown == 100) is (missing == 0)
    assert shown <= 100 * Fraction(repr(share))
    assert shown > 100 * Fraction(repr(share)) - Fraction(1, 10)


def test_completeness_of_nothing_is_a_dash():
    """No share, no number."""
    assert EN.completeness(NAN) == MISSING


@pytest.mark.parametrize(
    ("show", "money", "text"),
    [
        (EN, Money(Decimal("1234.50"), "EUR"), "€1,234.50"),
        (EN, Money(Decimal("-3"), "EUR"), f"{MINUS}€3.00"),
        (DE, Money(Decimal("1234.5"), "EUR"), "1.234,50\N{NO-BREAK SPACE}€"),
        (Show("ja_JP"), Money(Decimal("1234"), "JPY"), "¥1,234"),
    ],
)
def test_money_as_the_locale_writes_it(show, money, text):
    """Currency sign, its place and the minor units are CLDR's."""
    assert show.money(money).replace("\N{FULLWIDTH YEN SIGN}", "¥") == text


def test_temperature_in_both_systems():
    """60 degrees Celsius are 140 Fahrenheit: 60 * 9 / 5 + 32."""
    assert EN.temperature(60.0) == f"60.0{THIN}°C"
    assert US.temperature(60.0) == f"140{THIN}°F"


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (30, "30{}s"),
        (60, "1{}min"),
        (90, "90{}s"),
        (900, "15{}min"),
        (3600, "1{}h"),
        (5400, "1{0}h 30{0}min"),
        (86_400, "1{}d"),
        (0.02, "20{}ms"),
        (90_060, "1{0}d 1{0}h 1{0}min"),
        (84_960 * 60, "59{}d"),  # 84,960 minutes are 59 days of 1,440
        (1000 * 86_400, "1,000{}d"),
    ],
)
def test_duration_in_its_own_units(seconds, text):
    """Days, hours and minutes as far as there are any; seconds below two minutes."""
    assert EN.duration(seconds) == text.format(THIN)


def test_dates_and_instants():
    """The month of a date is in letters, an instant has the year first on the site's clock."""
    assert EN.day(date(2025, 3, 1)) == "1 Mar 2025"
    assert DE.day(date(2025, 3, 1)) == "01.03.2025"
    assert US.time(1_322_197_200) == "2011-11-25 00:00"  # 05:00 UTC less five hours in Toronto
    assert EN.language == "en"


def test_ways_of_showing():
    """A template's way leads to the method of that name; one that is not there is a fault of ours."""
    given = {
        "text": "x", "count": 2712, "number": 1.0, "power": 1.0, "kilowatts": 1.0, "energy": 1.0, "percent": 0.5,
        "completeness": 0.5, "money": Money(Decimal(1), "EUR"), "temperature": 20.0, "duration": 60, "time": 0,
        "day": date(2025, 1, 1),
    }  # fmt: skip
    shown = {way: EN.value(value, way) for way, value in given.items()}
    assert shown["text"] == "x"
    assert shown["count"] == "2,712"
    assert shown["money"] == "€1.00"
    assert shown["day"] == "1 Jan 2025"
    assert shown["time"] == "1970-01-01 00:00"
    assert all(shown.values())
    with pytest.raises(OwnFault, match='"colour"'):
        EN.value(1, "colour")


def test_text_carries_no_control_character():
    """A name out of a file cannot ring a bell or colour the terminal; a new line stays."""
    assert EN.value("\x1b[31mkW\x07\nnext", "text") == "[31mkW\nnext"

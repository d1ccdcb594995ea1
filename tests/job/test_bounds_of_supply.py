"""What no supply has is refused where it is typed, and not shown on every sheet afterwards."""

import pytest

from tests.handover.kit import PLAIN
from wattwright.core.errors import JobError
from wattwright.core.specfile import parse_text
from wattwright.job.file import parsed

SUPPLY = '[supply]\nsystem = "single-phase"\nvoltage = "230 V"\n'
LOAD = '[[loads]]\nid = "a"\nname = "A"\nkind = "other"\nrating = "1 kW"\n'


@pytest.mark.parametrize(
    ("entry", "most"),
    [
        (f'{SUPPLY}main_protection = "{{}} A"\n', 10_000),
        (f'{SUPPLY}agreed_power = "{{}} kW"\n', 100_000),
        (f'{SUPPLY}agreed_apparent_power = "{{}} kVA"\n', 100_000),
        ('[limit]\npower = "{} kW"\n', 100_000),
        ('[limit]\ncurrent = "{} A"\n', 10_000),
        (f'{LOAD}volume = "{{}} l"\n', 1_000_000),
    ],
)
def test_a_bound_is_taken_and_more_is_refused(entry: str, most: float) -> None:
    """The bound itself is taken; a little more, and a number beyond all reason, are refused with the entry's name."""
    parsed(parse_text(PLAIN + entry.format(most), "job.toml", JobError))
    for beyond in (most * 1.01, 1e27, 1e308):
        with pytest.raises(JobError, match="expected"):
            parsed(parse_text(PLAIN + entry.format(beyond), "job.toml", JobError))


@pytest.mark.parametrize("entry", [f"{SUPPLY}power_factor = {{}}\n", f"{LOAD}power_factor = {{}}\n"])
def test_a_power_factor_below_a_tenth_is_a_slip(entry: str) -> None:
    """A tenth is taken; less makes currents that no plate has."""
    parsed(parse_text(PLAIN + entry.format(0.1), "job.toml", JobError))
    for beyond in (0.099, 1e-300, 0.0, 1.01):
        with pytest.raises(JobError, match="power_factor"):
            parsed(parse_text(PLAIN + entry.format(beyond), "job.toml", JobError))

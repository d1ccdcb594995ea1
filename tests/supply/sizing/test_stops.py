"""Which findings make a quote's sizes doubtful."""

from dataclasses import dataclass

from wattwright.core.findings import Finding, Severity
from wattwright.loads.kinds import SCALD
from wattwright.supply.sizing.table import quote_stops


@dataclass(frozen=True)
class OfFindings:
    """A quote as far as its findings."""

    findings: tuple[Finding, ...]


def test_sizes_stand_beside_water_that_scalds():
    """A heater without a mixing valve is to be mended whatever is bought; any other stop makes sizes doubtful, a look none."""
    scald = SCALD.at("loads", hottest=65.0)
    stop, look = (Finding("supply.any", severity, "quote") for severity in (Severity.STOP, Severity.LOOK))
    assert scald.severity is Severity.STOP
    assert quote_stops(OfFindings((scald, stop, look))) == (stop,)

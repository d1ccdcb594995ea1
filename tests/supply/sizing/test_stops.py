"""Which findings make a quote's sizes doubtful."""

from dataclasses import dataclass

from wattwright.core.findings import Finding, Severity
from wattwright.loads.kinds import SCALD
from wattwright.record.faults.kinds import STUCK
from wattwright.supply.sizing.table import quote_stops, withheld


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


def test_doubts_in_the_readings_withhold_a_quote_as_its_own_stops_do():
    """The quote's own come first; what is only to be looked at in a record does not withhold it."""
    stop, look = (Finding("supply.any", severity, "quote") for severity in (Severity.STOP, Severity.LOOK))
    stuck, gap = STUCK.at("main.csv"), Finding("record.gap", Severity.LOOK, "main.csv")
    assert stuck.severity is not Severity.STOP
    assert withheld(OfFindings((look, stop)), (gap, stuck)) == (stop, stuck)
    assert withheld(OfFindings((look,)), (gap,)) == ()

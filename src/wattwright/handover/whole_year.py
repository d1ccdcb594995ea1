"""The year that a shorter record makes, with its band, and what cannot be concluded from it."""

from datetime import timedelta

from wattwright.demand.year.whole import Annualised
from wattwright.handover.context import Context
from wattwright.handover.paper import Section, Text
from wattwright.handover.wide import margin_notes


def whole_year(context: Context, given: Annualised) -> Section | None:
    """Return the section, or None where all of a year was read."""
    year, title = given.year, context.words("year.title")
    notes = margin_notes([one for one in given.findings if one not in context.record.findings], context.show)
    if year is None:
        return Section(title, context.words("year.none"), tuple(notes))
    if not year.high_kwh > year.low_kwh:
        return None
    span = {"first": context.dates.day(year.first), "last": context.dates.day(year.first + timedelta(days=year.days - 1))}
    lead = context.words("year.lead", **span, energy=year.energy_kwh, low=year.low_kwh, high=year.high_kwh)
    days = ", ".join(context.words("year.from", name=name, count=count) for name, count in year.days_from.items())
    return Section(title, lead, (Text(context.words("year.read", energy=year.measured_kwh, days=days)), *notes))

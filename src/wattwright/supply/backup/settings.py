"""The settings that the backup story rests on: what is set on battery, inverter, generator and shedding."""

from collections.abc import Iterator

from wattwright.control.rules import Control, Limit
from wattwright.core.show import THIN
from wattwright.simulate.supply import Supply
from wattwright.supply.backup.results import Setting

_OF_SITE = ("site power", "current", "state of charge", "grid voltage")


def settings(supply: Supply, control: Control, names: dict[str, str]) -> tuple[Setting, ...]:
    """Return every setting, of the sources first, then of the shedding; ``names`` are those of loads by id."""
    return (*_sources(supply), *_shedding(control, names), *_limits(control, names))


def _sources(supply: Supply) -> Iterator[Setting]:
    battery, inverter, generator = supply.battery, supply.inverter, supply.generator
    if battery is not None:
        yield Setting("battery", "reserve kept for outages", _percent(battery.reserve))
        yield Setting("battery", "the inverter stops at", _percent(battery.floor))
        yield Setting("battery", "it begins again at", _percent(battery.back))
    if inverter is not None:
        yield Setting("inverter", "role without the grid", inverter.role)
        rated = f"{inverter.rating_va / 1000.0:.3g}{THIN}kVA"
        borne = ", ".join(f"{ratio:g} times for {time_s:g}{THIN}s" for ratio, time_s in inverter.withstands)
        yield Setting("inverter", "most it carries", f"{rated}; {borne}")
        yield Setting("inverter", "after a trip", f"closed {inverter.closed} after {inverter.restart_s:g}{THIN}s")
    if generator is not None:
        yield Setting("generator", "starts and stops at", f"{_percent(generator.starts_at)} and {_percent(generator.stops_at)}")
        yield Setting("generator", "most it gives", f"{generator.rating_w / 1000.0:.3g}{THIN}kW")


def _shedding(control: Control, names: dict[str, str]) -> Iterator[Setting]:
    shed = control.shedding
    if shed is None:
        yield Setting("shedding", "order", "none: nothing is shed")
        return
    order = ", ".join(f"{number}. {names.get(load, load)}" for number, load in enumerate(shed.order, start=1))
    yield Setting("shedding", "order", order)
    yield Setting("shedding", "acts on, pick-up, restore", f"{shed.quantity}, {shed.pick_up}, {shed.restore}")


def _limits(control: Control, names: dict[str, str]) -> Iterator[Setting]:
    """Yield the limits that look at the site or its battery, which decide what runs in an outage."""
    for rule in control.rules:
        if isinstance(rule, Limit) and rule.quantity in _OF_SITE:
            value = f"{rule.quantity} {rule.acts} {rule.pick_up}, back at {rule.drop_out}: its contact {rule.contact}"
            yield Setting("limit", names.get(rule.load, rule.load), value)


def _percent(share: float) -> str:
    return f"{100.0 * share:.3g}{THIN}%"

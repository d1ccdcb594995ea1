"""The options that describe a circuit, named as the entries of its spec."""

from typing import Annotated

import typer


def _told(text: str) -> object:
    return typer.Option(help=text, show_default=False)


_OF_APPLIANCE = (
    "voltage", "power", "current", "name", "duty", "system", "power_factor", "efficiency", "start_ratio", "continuous", "storage",
    "service_factor",
)  # fmt: skip


def of_circuit(
    voltage: Annotated[str, _told('Voltage between its conductors, such as "230 V".')],
    length: Annotated[str, _told('Length of the route, one way, such as "20 m".')],
    method: Annotated[str, _told("How it is installed: A1, A2, B1, B2, C, D1, D2, E; with --rules nec raceway or cable.")],
    power: Annotated[str, _told('What it draws, such as "3 kW"; of a motor what its shaft gives, such as "1.5 hp".')] = "",
    current: Annotated[str, _told('The current on its plate, such as "13 A"; counts before the power.')] = "",
    name: Annotated[str, _told("What it is, in words.")] = "",
    rules: Annotated[str, _told("iec (60364, the usual) or nec.")] = "",
    duty: Annotated[str, _told("heater (the usual), motor, compressor, lamp or electronics.")] = "",
    system: Annotated[str, _told("single-phase (the usual), split-phase (two lines), three-phase.")] = "",
    power_factor: Annotated[str, _told('Power factor on the plate, such as "85 %".')] = "",
    efficiency: Annotated[str, _told('Of a motor, such as "80 %".')] = "",
    start_ratio: Annotated[float | None, _told("Starting current over running current, such as 6.")] = None,
    continuous: Annotated[bool | None, _told("Whether it may run three hours or more at a time.")] = None,
    storage: Annotated[str, _told('Volume of a storage water heater, such as "190 l".')] = "",
    service_factor: Annotated[float | None, _told("Of a motor, from its plate.")] = None,
    insulation: Annotated[str, _told("IEC: PVC (the usual) or XLPE.")] = "",
    conductor: Annotated[int | None, _told("NEC: rating of the wire in °C: 60, 75 or 90 (the usual).")] = None,
    terminals: Annotated[int | None, _told("NEC: what all terminals are marked for in °C: 60 (the usual) or 75.")] = None,
    material: Annotated[str, _told("Of the conductors: copper.")] = "",
    parallel: Annotated[int | None, _told("Conductors in parallel: 1.")] = None,
    ambient: Annotated[str, _told('Warmest air along the route, such as "35 °C".')] = "",
    ground: Annotated[str, _told('Warmest soil, such as "25 °C".')] = "",
    soil_resistivity: Annotated[float | None, _told("Thermal, of the soil, K m/W, such as 1.5.")] = None,
    circuits: Annotated[int | None, _told("Loaded circuits side by side, this one counted in.")] = None,
    laid: Annotated[str, _told('How they lie: bunched, wall, ceiling, tray, ladder, "buried touching" and others.')] = "",
    third_harmonic: Annotated[str, _told('Third harmonic of the phase current, such as "20 %".')] = "",
    drop_limit: Annotated[str, _told('Most voltage drop, such as "3 %"; that of the rule set if left out.')] = "",
    upstream_drop: Annotated[str, _told('Drop between the origin and the board, such as "1 %".')] = "",
    start_drop_limit: Annotated[str, _told('Most drop while a motor starts, such as "15 %".')] = "",
    start_power_factor: Annotated[str, _told('Of a motor that starts, such as "65 %".')] = "",
    earthing: Annotated[str, _told("IEC: earthing of the supply, TN or TT.")] = "",
    loop_impedance: Annotated[str, _told('TN: fault-loop impedance measured at the board, such as "0.35 ohm".')] = "",
    earth_resistance: Annotated[str, _told('TT: resistance of the earth electrode, such as "40 ohm".')] = "",
    prospective_current: Annotated[str, _told('Highest short-circuit current at the board, such as "3 kA".')] = "",
    let_through: Annotated[float | None, _told("Energy the protection lets through, A²s, from its data sheet.")] = None,
    device: Annotated[str, _told("breaker (the usual) or fuse (gG).")] = "",
    curve: Annotated[str, _told("IEC: curve of the breaker, B, C or D; chosen if left out.")] = "",
    rated: Annotated[str, _told('Rating of the breaker or fuse that is there, such as "16 A".')] = "",
    residual: Annotated[str, _told('Of the RCD that is there, such as "0.03 A".')] = "",
    sockets: Annotated[bool | None, _told("Whether it feeds socket-outlets.")] = None,
    place: Annotated[str, _told("indoors (the usual), outdoors, bathroom, pool or horticulture.")] = "",
) -> dict[str, object]:
    """Return what was said of a circuit, names as its spec has them; what was left out is not there."""
    said = {one: value for one, value in locals().items() if value not in ("", None)}
    appliance = {one: said.pop(one) for one in _OF_APPLIANCE if one in said}
    return {"appliance": appliance, **said}

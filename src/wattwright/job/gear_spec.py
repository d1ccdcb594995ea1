"""What a person says of equipment and wiring in the job file."""

from typing import Literal

from pydantic import Field

from wattwright.core.fields import CurrentA, LengthM, PowerW, Share, Spec, TemperatureC, VoltageV
from wattwright.gear.circuit.appliance import Duty
from wattwright.gear.circuit.spec import Laid, Method, Origin, Place


class RouteSpec(Spec):
    """How a load is fed, as seen on site. Survey: pace out the route, read the plate, look how the cable lies and beside what."""

    length_m: LengthM | None = Field(None, alias="length", gt=0, le=1000, description="of the route from board to load, one way")
    method: Method | None = Field(
        None, description="how it is installed: A1 to E by IEC 60364-5-52; raceway or cable under the NEC"
    )
    insulation: Literal["PVC", "XLPE"] = Field("PVC", description="IEC: PVC for 70 °C, XLPE for 90 °C at the conductor")
    ambient_c: TemperatureC | None = Field(
        None, alias="ambient", ge=-40, le=80, description="warmest air along the route; usual: 30 °C"
    )
    ground_c: TemperatureC | None = Field(
        None, alias="ground", ge=-10, le=70, description="warmest soil along the route; usual: 20 °C"
    )
    circuits: int | None = Field(None, ge=1, le=60, description="loaded circuits side by side, this one counted in")
    laid: Laid | None = Field(None, description="how circuits lie beside one another")
    place: Place = Field("indoors", description="where the load is")
    duty: Duty | None = Field(
        None, description="what it is electrically: heater, motor, compressor, lamp, electronics; by its kind if left out"
    )
    voltage_v: VoltageV | None = Field(
        None, alias="voltage", ge=100, le=480, description="between the conductors that feed it; that of the supply if left out"
    )
    conductors: Literal["line and neutral", "two lines", "three lines"] | None = Field(
        None, description="what feeds it; by the phase of the load and the supply if left out"
    )
    shaft_w: PowerW | None = Field(
        None, alias="shaft", gt=0, le=100_000, description="of a motor: what its shaft gives, on the plate"
    )
    plate_a: CurrentA | None = Field(None, alias="plate_current", gt=0, le=400, description="current on the plate")
    efficiency: Share | None = Field(None, gt=0, le=1, description="of a motor, on the plate; usual: 60 to 90 %")
    start_ratio: float | None = Field(None, ge=1, le=40, description="starting over running current; usual for motors: 5 to 8")
    continuous: bool | None = Field(None, description="whether it may run for three hours or more at a time")
    inrush_a: CurrentA | None = Field(None, alias="inrush", gt=0, description="peak by the maker, of lamps and electronics")
    switchings_a_day: float | None = Field(
        None, ge=0, le=100_000, description="how often it is switched; by simulation if left out"
    )
    rated_a: CurrentA | None = Field(None, alias="breaker", gt=0, description="rating of the breaker that is there already")
    sockets: bool = Field(False, description="whether it is fed by socket-outlets")
    probe_way_m: LengthM | None = Field(
        None, alias="probe_way", gt=0, le=1000, description="from probe to controller, along the cable"
    )


class GearSpec(Origin):
    """Equipment and wiring of the site. Survey: what only a licensed person may measure is asked, never guessed."""

    rules: Literal["iec", "nec"] | None = Field(None, description="rule set; nec for a split-phase supply, else iec, if left out")
    catalogue: tuple[str, ...] = Field((), description="own ranges, .toml, .xlsx or .csv, from the folder of job.toml")
    only: bool = Field(False, description="choose from the own ranges alone; else they lie over the generic one")
    years: float = Field(10.0, gt=0, le=60, description="how long a contact should last; usual: 10")
    board_c: TemperatureC = Field(
        35.0, alias="board_air", ge=-20, le=80, description="warmest air in the board; usual: 30 to 40 °C"
    )
    board_place: Place = Field("indoors", description="where the board hangs")
    coil_v: VoltageV | None = Field(
        None, alias="coil", gt=0, le=500, description="voltage for coils; that to neutral if left out"
    )
    supply_mm: float | None = Field(
        None, gt=0, le=200, description="outside of a conductor of the supply with its insulation, mm"
    )

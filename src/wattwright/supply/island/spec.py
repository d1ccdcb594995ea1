"""What a person says of running without the grid, from data sheets, plates and measurements; what nobody said is asked."""

from typing import Literal, Self

from pydantic import Field, model_validator

from wattwright.core.fields import CurrentA, DurationS, PowerW, ResistanceOhm, Spec

Source = Literal["grid", "PV array", "battery", "inverter", "generator"]
Guarded = Literal["PV array", "battery", "inverter", "generator"]
Fitted = Literal["fitted", "not fitted"]
Between = Literal["line and neutral", "lines"]


class Carrier(Spec):
    """A source that can carry the site, an inverter or a generator. Survey: its data sheet, and how it is wired.

    Fault current and its duration differ much between types: they are read from the data sheet, and nothing is taken.
    """

    fault_ratio: float | None = Field(
        None, gt=0, le=50, allow_inf_nan=False,
        description="its current into a short circuit over its rated current, by its data sheet",
    )  # fmt: skip
    fault_lasts_s: DurationS | None = Field(
        None, alias="fault_lasts", gt=0, le=60, description="how long it gives that current, by its data sheet"
    )
    off_after_s: DurationS | None = Field(
        None,
        alias="off_after",
        gt=0,
        le=60,
        description="within what time it shuts itself off on a short circuit, by its data sheet",
    )
    loop_ohm: ResistanceOhm | None = Field(
        None, alias="loop_impedance", gt=0, le=500, description="earth-fault loop at the board while it feeds, measured"
    )
    bond: Literal["none", "fixed", "closes when it feeds alone"] | None = Field(None, description="bond of its neutral to earth")
    parts: Literal["lines", "lines and neutral"] | None = Field(
        None, description="what the changeover opens towards the grid, of a generator also towards it"
    )
    interlock: Literal["mechanical", "electrical", "key", "none"] | None = Field(
        None, description="what keeps it from feeding together with the grid through the changeover"
    )

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.fault_lasts_s is not None and self.off_after_s is not None and self.off_after_s < self.fault_lasts_s:
            raise ValueError("a time to shut off no shorter than the fault current lasts|Read both from the data sheet again.")
        return self


class Isolation(Spec):
    """Where one source is isolated. Survey: the device and the place, seen."""

    source: Source = Field(description="what it isolates")
    where: str = Field(min_length=1, max_length=80, description="where it is, as on its label")
    lockable: bool | None = Field(None, description="whether it can be locked in the open position")


class Protection(Spec):
    """What ends an overcurrent on the feeder of a source. Survey: device and cable, seen; currents from the plate."""

    source: Guarded = Field(
        description="whose feeder: inverter, generator or PV array towards the board, battery towards its inverter"
    )
    rating_a: CurrentA | None = Field(
        None, alias="rating", gt=0, le=10_000, description="rated current of breaker or fuse; asked if left out"
    )
    current_a: CurrentA | None = Field(
        None, alias="current", gt=0, le=10_000,
        description="greatest current at work, from the plate; if left out by the rating of inverter or generator, of PV by the "
        "alternating power of its trackers",
    )  # fmt: skip
    carries_a: CurrentA | None = Field(
        None, alias="cable_carries", gt=0, le=10_000, description="what the cable of the feeder carries as it is laid"
    )
    conductors: int | None = Field(
        None, ge=1, le=3,
        description="how many line conductors of the supply the source feeds, by its plate: 1 of a single-phase inverter; asked "
        "if left out where the supply has several",
    )  # fmt: skip
    between: Between | None = Field(
        None,
        description="of a source that feeds two of three line conductors: single-phase units stand between line and neutral, "
        "one on each, another source between the lines; asked if left out",
    )


class IslandSpec(Spec):
    """Running without the grid. Survey: what only data sheets, the installer and the grid operator can say."""

    inverter: Carrier = Field(
        default_factory=lambda: Carrier.model_validate({}), description="the inverter that carries the site"
    )
    generator: Carrier = Field(default_factory=lambda: Carrier.model_validate({}), description="the generator")
    electrode_ohm: ResistanceOhm | None = Field(
        None, alias="electrode_resistance", gt=0, le=5000, description="the site's own earth electrode, measured"
    )
    surge: Fitted | None = Field(None, description="surge protection on the alternating-current side of the sources")
    labels: Fitted | None = Field(None, description="labels of all sources at meter, main switch, board and each source")
    consent: Literal["given", "asked for", "none"] | None = Field(
        None, description="consent of the grid operator to sources beside its grid"
    )
    consent_reference: str = Field("", max_length=80, description="its number and date")
    export_w: PowerW | None = Field(
        None,
        alias="export_limit",
        ge=0,
        le=1e7,
        description="most the site may give to the grid by that consent; 0 W for nothing",
    )
    export_held: Literal["by the inverter", "by a relay", "by nothing"] | None = Field(
        None, description="what holds the site to that limit"
    )
    isolation: tuple[Isolation, ...] = Field((), description="where each source is isolated")
    protection: tuple[Protection, ...] = Field((), description="what ends an overcurrent on the feeder of each source")

    def conductors_of(self, source: Guarded) -> int | None:
        """Return how many line conductors a source feeds; None where nobody said it."""
        return next((one.conductors for one in self.protection if one.source == source), None)

    def between_of(self, source: Guarded) -> Between | None:
        """Return between what a source that feeds two conductors of three stands; None where nobody said it."""
        return next((one.between for one in self.protection if one.source == source), None)

    @model_validator(mode="after")
    def _once(self) -> Self:
        guarded = [one.source for one in self.protection]
        if len(set(guarded)) < len(guarded):
            raise ValueError("each source once in protection|Name the device of its feeder, and leave out the others.")
        named = [one.source for one in self.isolation]
        if len(set(named)) < len(named):
            raise ValueError(
                "each source once in isolation|Name the device that is opened to isolate it, and leave out the others."
            )
        return self

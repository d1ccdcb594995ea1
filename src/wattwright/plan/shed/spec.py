"""What a person says of the way an order to shed takes, and of a control system that was accepted as protection."""

import datetime as dt
from typing import Literal

from pydantic import Field

from wattwright.catalogue.schema import Gear
from wattwright.core.fields import DurationS, Held, Share, Spec


class ShedGear(Spec):
    """The hardware between a meter and the contacts, beyond what the rules say of it."""

    shows: Literal["mean", "latest value"] = Field(
        "mean", description="what a report holds: the mean since the one before, or what flowed when it was measured"
    )
    report_spread_s: DurationS = Field(
        0.0, alias="report_spread", ge=0, description="how much longer than stated a report may take; usual: 0 to 2 s"
    )
    report_loss: Share = Field(0.0, ge=0, le=1, description="share of the meter's reports that are lost; usual by radio: 1 %")
    link_spread_s: DurationS = Field(0.0, alias="link_spread", ge=0, description="how much longer than stated a command may take")
    command_loss: Share = Field(0.0, ge=0, le=1, description="share of commands that are lost; usual by radio: 1 %")
    repeats_s: DurationS | None = Field(
        None, alias="repeats_after", gt=0, description="until what was lost is sent again; the next report if left out"
    )
    contactor_s: DurationS = Field(
        0.05, alias="contactor", ge=0, description="time of relay and contactor until the current is broken; usual: 20 to 50 ms"
    )
    fastest_s: DurationS | None = Field(
        None, alias="fastest_report", ge=0, description="shortest interval the meter can be set to; the present one if left out"
    )
    restart_s: DurationS = Field(
        30.0, alias="meter_restart", ge=0, description="how long the meter tells nothing when it restarts; usual: 10 to 60 s"
    )

    @classmethod
    def of(cls, gear: Gear) -> "ShedGear":
        """Return what a class of gear in the catalogue is known for."""
        return cls(command_loss=Held(gear.link_loss_share), contactor_s=Held(gear.contactor_s), fastest_s=Held(gear.interval_s))


class AcceptedControl(Spec):
    """A control system that somebody who may do so has accepted as a way to hold a supply within its rating."""

    by: str = Field(min_length=1, max_length=80, description="who accepted it: name, and in what capacity")
    on: dt.date = Field(description="when")
    rule: str = Field(min_length=1, max_length=200, description="the rule it was accepted by: code, clause, edition")

"""What the checks look at: the channels of one meter, and how to find the ones that belong together."""

from dataclasses import dataclass

from wattwright.core.clock import SiteClock
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.record.record import Channel, Form, Run, StampsMark

THREE = (Phase.L1, Phase.L2, Phase.L3)
LEGS = (Phase.LEG_A, Phase.LEG_B)


@dataclass(frozen=True, slots=True, eq=False)
class Seen:
    """The channels of one meter on one grid, the gaps of its power, the end its stamps mark, and the clock it was read by.

    ``zoned`` tells that a person gave the zone of ``clock``.
    """

    channels: tuple[Channel, ...]
    gaps: tuple[Run, ...]
    mark: StampsMark
    clock: SiteClock
    zoned: bool

    def of(self, quantity: Quantity) -> list[Channel]:
        """Return the channels of a quantity that are no registers, in the order of the file."""
        return [c for c in self.channels if c.meaning.quantity is quantity and c.meaning.form is not Form.REGISTER]

    def one(self, quantity: Quantity, phase: Phase) -> Channel | None:
        """Return the first channel of a quantity on a conductor that is no export and no register."""
        held = (c for c in self.of(quantity) if c.meaning.phase is phase and c.meaning.direction is not Direction.EXPORT)
        return next(held, None)

    def conductors(self, quantity: Quantity) -> dict[Phase, Channel]:
        """Return the channels of all three phases, else of both legs, by conductor; else those there are of the three."""
        for phases in (THREE, LEGS):
            found = {phase: c for phase in phases if (c := self.one(quantity, phase)) is not None}
            if len(found) == len(phases):
                return found
        return {phase: c for phase in THREE if (c := self.one(quantity, phase)) is not None}

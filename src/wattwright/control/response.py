"""How long shedding takes: from too much power to the last of the loads that must go."""

from collections.abc import Sequence
from dataclasses import dataclass

from wattwright.control.rules import Control
from wattwright.core.errors import OwnFault


@dataclass(frozen=True, slots=True)
class Response:
    """How long shedding takes, in parts, s: measuring, report and delay, then to ``load``, the last, at ``place`` of the order.

    ``next_s`` lies between two loads, ``link_s`` is the last one's own time. ``load`` is empty where none of the order can go.
    """

    interval_s: float
    report_s: float
    delay_s: float
    load: str
    place: int
    next_s: float
    link_s: float

    @property
    def total_s(self) -> float:
        """Return the sum of the parts, s."""
        return self.interval_s + self.report_s + self.delay_s + self.place * self.next_s + self.link_s


def response(control: Control, loads: Sequence[str]) -> Response:
    """Return the longest time from too much power until all of ``loads``, which stand in the shed order, are open.

    Measuring interval, report and delay, then one after the other, each with its link: max over k of (k next + link_k). It holds
    while supply and link are there and no person or run-on holds a load; those never interrupted take no part. Raises OwnFault
    where nothing is shed.
    """
    shed = control.shedding
    if shed is None:
        raise OwnFault("asked for the response time of a site that sheds nothing")
    order = [load for load in dict.fromkeys(shed.order) if not control.actuator(load).never]
    going = [(place, load, control.actuator(load).link_s) for place, load in enumerate(order) if load in loads]
    place, load, link_s = max(going, key=lambda one: one[0] * shed.next_s + one[2], default=(0, "", 0.0))
    return Response(shed.interval_s, shed.report_s, shed.delay_s, load, place, shed.next_s, link_s)

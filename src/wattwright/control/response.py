"""How long shedding takes: from too much power to the last of the loads that must go."""

from collections.abc import Sequence

from wattwright.control.rules import Control
from wattwright.core.errors import OwnFault


def response_s(control: Control, loads: Sequence[str]) -> float:
    """Return the longest time from too much power until all of ``loads``, which stand in the shed order, are open, s.

    Measuring interval, report and delay, then one after the other, each with its link: max over k of (k next + link_k). It holds
    while supply and link are there and no person or run-on holds a load. Raises OwnFault where nothing is shed.
    """
    shed = control.shedding
    if shed is None:
        raise OwnFault("asked for the response time of a site that sheds nothing")
    order = [load for load in shed.order if not control.actuator(load).never]
    last = max((order.index(load) * shed.next_s + control.actuator(load).link_s for load in loads), default=0.0)
    return shed.interval_s + shed.report_s + shed.delay_s + last

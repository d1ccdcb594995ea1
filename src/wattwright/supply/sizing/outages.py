"""One set of outages for all that a quote compares: each option's own worst hours are looked for, so none flatters itself.

They lie a day apart, so that each is met with a full battery: of worst hours that lie nearer to one another the first is tried,
today's before the plan's, and the worst that leaves room stands in for the other.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from wattwright.supply.sizing.asking import Asking
from wattwright.supply.sizing.course import course_of, missed_share, with_outages
from wattwright.supply.sizing.way import Way, run_of


def on_one_set(asking: Asking, ways: Sequence[Way]) -> Asking:
    """Return the question with the outages that sizes under each of ``ways`` are tried in, and the site with nothing bought.

    The worst are those of each way, once with what it holds off and once with all that runs, and of each choice of roofs.
    Outages that only the job names are the same for all as they are.
    """
    if asking.purpose != "carries the site in outages" or asking.outage_s is None:
        return asking
    scenario = ways[0].scenario
    start_s, step_s, beside_w = scenario.span.start_s, scenario.step_s, scenario.drivers.beside_w
    shares = [course_of(start_s, step_s, one.share, one.share, beside_w).pv_share for one in asking.layouts]
    roofs = [(share, one.most_w) for share, one in zip(shares, asking.layouts, strict=True)]
    wants = []
    for way in ways:
        run = run_of(way)
        plain = course_of(start_s, step_s, np.asarray(run.site_w), asking.layout.share, beside_w)
        held_w = course_of(start_s, step_s, way.held_off_w(run), asking.layout.share, beside_w).site_w
        wants += [plain.site_w - held_w, plain.site_w] if way.order else [plain.site_w]
    made = with_outages(plain, asking.outage_s, asking.seed, wants, roofs)
    missed = max(missed_share(made, asking.outage_s, wanted_w) for wanted_w in wants)
    return replace(asking, tried=made.grid, missed=missed)

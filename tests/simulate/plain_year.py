"""A site with stores followed plainly for long, to hold the compiled engine against. It imports nothing of the package.

A tank, a cold store and a pump under timers and a shed order. A minute in which nothing can turn is passed in one go, any other
second by second. Rules see the power there was at the end of the second before.
"""

import copy

from tests.control import plain_rules
from tests.loads import plain_years


class Store(plain_years.Followed):
    """One with a thermostat, which remembers when it began and ceased to run."""

    def __init__(self, rating, state, begin, cease):
        super().__init__(state, begin, cease)
        self.rating, self.clock, self.switched = rating, 0.0, ()

    def switch(self, wanted):
        if wanted is not self.runs:
            self.switched = (*self.switched, (self.clock, wanted))
        super().switch(wanted)

    def passes(self, seconds):
        super().passes(seconds)
        self.clock += seconds


class Pump:
    """Runs while fed."""

    def __init__(self, rating):
        self.rating, self.runs, self.clock, self.run_s, self.switched = rating, False, 0.0, 0.0, ()

    def step(self, seconds, closed, _ahead):
        if closed is not self.runs:
            self.switched = (*self.switched, (self.clock, closed))
        self.runs = closed
        self.run_s += seconds if closed else 0.0
        self.clock += seconds


class Site:
    """Rules and loads on a grid without a limit of its own."""

    def __init__(self, told, loads):
        self.told, self.rules, self.loads = told, plain_rules.Site(told), loads
        self.now, self.power, self.moves, self.switched = 0, 0.0, [], [[] for _ in loads]
        self.nearest = float("inf")

    def minute(self, rest, aheads, grid):
        """Let a minute pass; ``aheads`` say what becomes of each load's state."""
        end = self.now + 60
        while self.now < end:
            before = [load.closed for load in self.rules.loads]
            runs = [load.runs for load in self.loads]
            self.rules.step(self.now, {"power": self.power}, runs, grid, True)
            closed = [load.closed for load in self.rules.loads]
            self.moves += [(self.now, i, on, self.rules.loads[i].why) for i, on in enumerate(closed) if on is not before[i]]
            kept = [copy.copy(load) for load in self.loads]
            stop = self.reach(end)
            if not self.passed(stop, rest, closed, aheads, grid):
                self.loads = kept
                stop = self.now + 1
                self.passed(stop, rest, closed, aheads, grid)
            self.keep()
            self.now = stop
        told = self.told["shed"]
        self.nearest = min(self.nearest, abs(self.power - told["pick"]), abs(self.power - told["restore"]))

    def reach(self, end):
        """The second at which the rules must be asked again at the latest: the minute's end, or a timer's edge."""
        stop = end
        for rule in self.told["rules"]:
            whole, place = rule["on"] + rule["off"], self.now % (rule["on"] + rule["off"])
            edges = (rule["on"], rule["off"], whole)
            stop = min([stop, *(self.now - place + edge for edge in edges if edge > place)])
        waits = any(load.closed is not load.wish or load.wish is not load.command for load in self.rules.loads)
        return self.now + 1 if waits else stop

    def passed(self, stop, rest, closed, aheads, grid):
        """Whether the loads could go so far without anything turning; a single second is always gone."""
        seconds, short = stop - self.now, stop - self.now == 1
        for load, on, ahead in zip(self.loads, closed, aheads, strict=True):
            load.clock = float(self.now)
            load.step(seconds, on and grid, ahead)
        power = (rest if grid else 0.0) + sum(load.rating for load in self.loads if load.runs)
        moved = any(at > self.now for load in self.loads for at, _ in load.switched)
        told, gone = self.told["shed"], any(load.shed for load in self.rules.loads)
        turns = power >= told["pick"] or (gone and power <= told["restore"])
        if short or not (moved or turns):
            self.power = power
            return True
        return False

    def keep(self):
        for i, load in enumerate(self.loads):
            self.switched[i] += load.switched
            load.switched = ()

"""Loads followed plainly through a year, to hold the compiled ones against. It imports nothing of the package."""

import math

from tests.loads import plain_tank


class Contact:
    """What any of them counts: runs, starts and running time."""

    def __init__(self):
        self.runs, self.starts, self.run_s = False, 0, 0.0

    def switch(self, wanted):
        self.starts += wanted and not self.runs
        self.runs = wanted

    def passes(self, seconds):
        self.run_s += seconds if self.runs else 0.0


class Pump(Contact):
    """Runs while fed; at the end of each 24 h it is seen how much of the wanted water was not filtered."""

    def __init__(self, pool, flow, turnovers):
        super().__init__()
        self.pool, self.flow, self.turnovers = pool, flow, turnovers
        self.clock = self.today = self.wanted = self.short = 0.0

    def step(self, seconds, closed, season):
        self.switch(closed)
        self.passes(seconds)
        while seconds > 0:
            part = min(seconds, 86_400 - self.clock % 86_400)
            self.today += self.flow * part if closed else 0.0
            self.wanted += self.turnovers * self.pool * season * part / 86_400
            self.clock += part
            seconds -= part
            if self.clock % 86_400 == 0:
                self.short += max(0.0, self.wanted - self.today)
                self.today = self.wanted = 0.0


class Charger(Contact):
    """Full rate down to the taper, in proportion below it, then the least power to the end."""

    def __init__(self, rating, efficiency, taper, least):
        super().__init__()
        self.rate, self.taper, self.least = rating * efficiency, taper, least * efficiency
        self.wanted = self.missing = self.given = 0.0
        self.plugged = False

    def step(self, seconds, closed, plugged, newly):
        if plugged and not self.plugged:
            self.wanted += newly
        if self.plugged and not plugged:
            self.missing += self.wanted
            self.wanted = 0.0
        self.plugged = plugged
        self.switch(closed and plugged and self.wanted > 0)
        while seconds > 0 and self.runs:
            part, self.wanted, before = *self.charged(seconds), self.wanted
            self.given += before - self.wanted
            self.passes(part)
            seconds -= part
            self.switch(self.wanted > 0)

    def charged(self, seconds):
        """(How long, energy then wanted) to the end of the part it is in, or for the seconds."""
        floor, tau = self.taper * self.least / self.rate, self.taper / self.rate
        if self.wanted > self.taper:
            needs = (self.wanted - self.taper) / self.rate
            return (needs, self.taper) if needs <= seconds else (seconds, self.wanted - self.rate * seconds)
        if self.wanted > floor:
            needs = tau * math.log(self.wanted / floor)
            return (needs, floor) if needs <= seconds else (seconds, self.wanted * math.exp(-seconds / tau))
        needs = self.wanted / self.least
        return (needs, 0.0) if needs <= seconds else (seconds, self.wanted - self.least * seconds)


class Followed(Contact):
    """Anything with a thermostat whose state is known as a function of time until it switches, found by going and halving."""

    looks = 5

    def __init__(self, state, begin, cease, probe=0):
        super().__init__()
        self.state, self.begin, self.cease, self.probe = state, begin, cease, probe
        self.calls = False

    def step(self, seconds, closed, ahead):
        """ahead(state, runs, seconds) is the state then."""
        left = seconds
        while left > 0:
            heats, now = self.begin < self.cease, self.state[self.probe]
            if (now <= self.begin) if heats else (now >= self.begin):
                self.calls = True
            elif (now >= self.cease) if heats else (now <= self.cease):
                self.calls = False
            self.switch(closed and self.calls)
            part, target = left, self.cease if self.calls else self.begin
            found = self.crossing(part, ahead, target)
            part = part if found is None else found
            self.state = ahead(self.state, self.runs, part)
            if found is not None:
                self.met(target)
            self.passes(part)
            left -= part

    def met(self, target):
        self.state = [target if k == self.probe else one for k, one in enumerate(self.state)]

    def crossing(self, part, ahead, target):
        """When the probe first comes to the target within the part; None where it does not."""
        side = self.state[self.probe] - target
        before = 0.0
        for k in range(1, self.looks + 1):
            then = part * k / self.looks
            gap = ahead(self.state, self.runs, then)[self.probe] - target
            if side != 0 and gap * side <= 0:
                low, high = before, then
                for _ in range(45):
                    middle = (low + high) / 2
                    gap = ahead(self.state, self.runs, middle)[self.probe] - target
                    low, high = (middle, high) if gap * side > 0 else (low, middle)
                return high
            before = then
        return None


class Layers(Followed):
    """A tank in layers: parts so short that a fifth of a layer flows through at the most."""

    looks = 1

    def step(self, seconds, closed, ahead, flow):
        left = seconds
        while left > 0:
            through = plain_tank.valve(self.state[0], 10.0, 40.0, flow)
            part = min(left, 0.2 * 50.0 / through if through > 1e-9 else math.inf)
            super().step(part, closed, ahead)
            left -= part

    def met(self, target):
        """The probe is left where the halving put it: a layer cannot be moved by itself."""


def first_order(ends, taus):
    """Ahead of a body of one node, its ends and time constants (at rest, running)."""
    return lambda state, runs, seconds: [ends[runs] + (state[0] - ends[runs]) * math.exp(-seconds / taus[runs])]


def mixed_tank(*, heat, loss, room, cold, use, flow, power):
    """Ahead of a mixed tank: above the use temperature the valve takes a constant heat, below it a constant flow."""

    def ahead(state, runs, seconds):
        now, given = state[0], power if runs else 0.0
        while seconds > 0:
            warm = now >= use
            carried = 0.0 if warm else flow * plain_tank.WATER
            drawn = flow * plain_tank.WATER * (use - cold) if warm else -carried * cold
            slope = loss + carried
            end, tau = (loss * room + given - drawn) / slope, heat / slope
            then = end + (now - end) * math.exp(-seconds / tau)
            part = seconds
            if flow > 0 and now != use and (now > use) != (then > use):
                part = tau * math.log((now - end) / (use - end))
                then = use - 1e-9 if now > use else use
            now, seconds = then, seconds - part
        return [now]

    return ahead


def pair(*, air, mass, loss, exchange, outdoors, gains, sun, given):
    """Ahead of a room's air and mass, by the rates of the pair."""
    a, b, c, d = -(loss + exchange) / air, exchange / air, exchange / mass, -exchange / mass
    middle, apart = (a + d) / 2, math.sqrt(((a - d) / 2) ** 2 + b * c)
    fast, slow = middle - apart, middle + apart

    def ahead(state, runs, seconds):
        lift = given / loss if runs else 0.0
        end = outdoors + (gains + sun) / loss + lift
        x, y = state[0] - end, state[1] - end - sun / exchange
        # The matrix' exponential by its two rates: M(t) = (e_slow (A - fast) - e_fast (A - slow)) / (slow - fast).
        e_slow, e_fast = math.exp(slow * seconds), math.exp(fast * seconds)
        p = (e_slow * (a - fast) - e_fast * (a - slow)) / (slow - fast)
        q = (e_slow - e_fast) / (slow - fast)
        s = (e_slow * (d - fast) - e_fast * (d - slow)) / (slow - fast)
        return [end + p * x + q * b * y, end + sun / exchange + q * c * x + s * y]

    return ahead


def layered_tank(tank, *, room, cold, flow, power, element):
    """Ahead of a tank in layers: one step of the fourth order."""
    return lambda state, runs, seconds: plain_tank.step(
        tank, state, seconds, room, cold, flow, power if runs else 0.0, element
    )[0]  # fmt: skip

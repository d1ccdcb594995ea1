"""Loads written plainly, to hold the compiled ones against: equations, a slow integrator. It imports nothing of the package."""

import math


def march(slope, state, seconds, parts=1000):
    """Runge and Kutta's fourth order in many small parts."""
    part = seconds / parts
    for _ in range(parts):
        one = slope(state)
        two = slope([x + 0.5 * part * k for x, k in zip(state, one, strict=True)])
        three = slope([x + 0.5 * part * k for x, k in zip(state, two, strict=True)])
        four = slope([x + part * k for x, k in zip(state, three, strict=True)])
        state = [x + part / 6 * (a + 2 * b + 2 * c + d) for x, a, b, c, d in zip(state, one, two, three, four, strict=True)]
    return state


def room(now, seconds, *, heat, loss, outdoors, gains, given):
    """Temperature, heat lost."""
    return march(lambda x: [(loss * (outdoors - x[0]) + gains + given) / heat, loss * (x[0] - outdoors)], [now, 0.0], seconds)


def heavy_room(air, mass, seconds, *, light, heavy, loss, exchange, outdoors, gains, sun):
    """Air, mass, heat lost."""

    def slope(x):
        passes = exchange * (x[1] - x[0])
        return [(loss * (outdoors - x[0]) + passes + gains) / light, (sun - passes) / heavy, loss * (x[0] - outdoors)]

    return march(slope, [air, mass, 0.0], seconds)


def cold_store(air, probe, seconds, *, heat, loss, outdoors, inside, cold, probe_s):
    """Air, probe, heat come in."""

    def slope(x):
        comes = loss * (outdoors - x[0]) + inside
        return [(comes - cold) / heat, (x[0] - x[1]) / probe_s, comes]

    return march(slope, [air, probe, 0.0], seconds)


def moist_air(ratio, seconds, *, mass, moved, outdoors, source, dries):
    """Humidity ratio, water carried out by air, water taken."""

    def slope(x):
        out, taken = moved * (x[0] - outdoors), dries * x[0]
        return [(source - out - taken) / mass, out, taken]

    return march(slope, [ratio, 0.0, 0.0], seconds)


def charge(wanted, seconds, *, rating, efficiency, taper, least):
    """Energy still wanted, J, inside one part of a charge."""

    def slope(x):
        power = rating if x[0] > taper else max(least, rating * x[0] / taper)
        return [-efficiency * power]

    return march(slope, [wanted], seconds)[0]


def soil_day(depletion, *, etc, taw, share):
    """Depletion after a dry day, mm; share is p."""
    ks = 1.0 if depletion <= share * taw else (taw - depletion) / ((1 - share) * taw)
    return min(taw, depletion + ks * etc)


def pump(speed, static, shut_off):
    """Flow and power where the pump's curve meets the pipes', found by halving."""
    low, high = 0.0, 5.0
    for _ in range(200):
        flow = (low + high) / 2
        gives = shut_off * speed**2 - (shut_off - 1) * flow**2
        asks = static + (1 - static) * flow**2
        low, high = (flow, high) if gives > asks else (low, flow)
    share = low / speed
    return low, low * (static + (1 - static) * low**2) / (2 * share - share**2)


class Thermostat:
    """A first-order body with a two-point thermostat, followed from switching to switching."""

    def __init__(self, value, begin, cease, min_on=0.0, min_off=0.0):
        self.value, self.begin, self.cease = value, begin, cease
        self.least = {True: min_on, False: min_off}
        self.calls = self.runs = False
        self.since, self.clock, self.switchings = 1e9, 0.0, []

    def step(self, seconds, closed, rest, running):
        """Let time pass; rest and running are (end, tau)."""
        left = seconds
        while left > 0:
            self._contact()
            wait = math.inf
            wanted = self.calls and closed
            if wanted != self.runs:
                wait = self.least[self.runs] - self.since
                if wait <= 1e-9 or (self.runs and not closed):
                    self.runs, self.since, wait = wanted, 0.0, math.inf
                    self.switchings.append((self.clock, wanted))
            end, tau = running if self.runs else rest
            target = self.cease if self.calls else self.begin
            now, part = self.value, min(left, wait)
            self.value = end + (now - end) * math.exp(-part / tau)
            if (now - target) * (self.value - target) <= 0 and now != target:
                part = min(part, tau * math.log((now - end) / (target - end)))
                self.value = target
            self.since += part
            self.clock += part
            left -= part

    def _contact(self):
        heats = self.begin < self.cease
        if (self.value <= self.begin) if heats else (self.value >= self.begin):
            self.calls = True
        elif (self.value >= self.cease) if heats else (self.value <= self.cease):
            self.calls = False

"""The engine written plainly, second by second, to hold the compiled one against. It imports nothing of the package.

Loads here are plain ones: each draws its rating while it is fed. Conductor, voltage and power factor are one, so amps are watts.
"""

import copy

from tests.control import plain_rules

FORGETS = 60.0
SAME = 1e-9


def bears(points, ratio):
    """Seconds for which a ratio is borne; None: for ever."""
    if ratio <= 1.0 + 1e-9:
        return None
    return next((seconds for limit, seconds in points if ratio <= limit + 1e-9), 0.0)


def wear(points, ratio, worn, seconds):
    holds = bears(points, ratio)
    if holds is None:
        return max(0.0, worn - seconds / FORGETS)
    if seconds <= 0.0:
        return worn
    return float("inf") if holds == 0.0 else worn + seconds / holds


class Supply:
    """Grid, PV, battery and generator of one conductor."""

    def __init__(self, told):
        self.told = told
        self.held = told["battery"]["start"] * told["battery"]["energy"] if told["battery"] else 0.0
        self.empty, self.dark_for, self.generator, self.generator_for = False, 0.0, "stands", 0.0
        self.worn = {"connection": 0.0, "inverter": 0.0, "generator": 0.0}
        self.sums = dict.fromkeys(("import", "export", "pv", "spilled", "generator", "lost", "site"), 0.0)
        self.trips = 0

    def share(self):
        battery = self.told["battery"]
        return self.held / battery["energy"] if battery else 0.0

    def turn(self, outage):
        told = self.told["generator"]
        if not told:
            return
        carried = bool(self.told["battery"]) and self.told["role"] == "carries the site in outages"
        if self.generator == "stands" and outage and (not carried or self.share() <= told["starts"] + SAME):
            self.generator, self.generator_for = "starts", 0.0
        if self.generator == "starts" and self.generator_for >= told["delay"]:
            self.generator, self.generator_for = "runs", 0.0
        if self.generator == "out" and self.generator_for >= told["closed_after"]:
            self.generator, self.generator_for = "stands", 0.0
            self.turn(outage)
            return
        full = carried and self.share() >= told["stops"] - SAME
        ran = self.generator == "runs" and self.generator_for >= told["least"]
        if (ran and (full or not outage)) or (self.generator == "starts" and not outage):
            self.generator, self.generator_for = "stands", 0.0

    def source(self, grid):
        battery = self.told["battery"]
        if self.empty and self.share() >= battery["back"] - SAME:
            self.empty = False
        elif battery and self.share() <= battery["floor"] + SAME:
            self.empty = True
        if self.dark_for > 1e-9:
            return "dark"
        if grid:
            return "grid"
        alone = self.told["role"] == "carries the site in outages" and battery and not self.empty
        return "alone" if self.generator == "runs" or alone else "dark"

    def feed(self, by, site, pv, beside, seconds):
        """Power through the connection, or None where the sources fall short."""
        told, battery, sums = self.told, self.told["battery"], self.sums
        usable = min(pv, told["va"]) if told["va"] else pv
        beside *= by == "grid"
        needed = site + told["idle"] - beside if by != "dark" else 0.0
        left = needed - usable
        generator = told["generator"]["rating"] if self.generator == "runs" and by == "alone" else 0.0
        given = min(generator, max(left, 0.0))
        left -= given
        taken = put = self.charging = 0.0
        if battery and left > 0.0:
            floor = max(battery["reserve"], battery["floor"]) if by == "grid" else battery["floor"]
            held = max(0.0, self.held - floor * battery["energy"]) * battery["out"] / seconds
            taken = max(0.0, min(self.asked(by, left, seconds)[0], battery["discharge"], held))
            if by == "grid" or told["role"] != "carries the site in outages":
                taken = min(taken, told["va"] - usable)
            left -= taken
        if by == "alone" and left > 1e-9 * max(needed, 1.0):
            return None
        self.driven, self.part = generator > 0.0, given / needed if needed > 0.0 else 0.0
        if battery and taken == 0.0:
            spare = max(0.0, -left)
            room = (battery["energy"] - self.held) / battery["in"] / seconds
            put = min(spare + generator - given + self.asked(by, left, seconds)[1], battery["charge"], told["va"], room)
            if by != "grid":
                self.charging = max(0.0, put - spare)
                given += self.charging
            left += put if by == "grid" else min(put, spare)
        self.held += (put * (battery["in"] if battery else 1) - taken / (battery["out"] if battery else 1)) * seconds
        import_ = left if by == "grid" else 0.0
        sums["import"] += max(0.0, import_) * seconds
        sums["export"] += max(0.0, -import_) * seconds
        sums["pv"] += (pv + beside) * seconds
        sums["spilled"] += (pv - usable + (max(0.0, -left) if by != "grid" else 0.0)) * seconds
        sums["generator"] += given * seconds
        if by != "dark":
            sums["lost"] += told["idle"] * seconds
            sums["site"] += site * seconds
        if battery:
            sums["lost"] += (put * (1 - battery["in"]) + taken * (1 / battery["out"] - 1)) * seconds
        return import_

    def asked(self, by, left, seconds):
        """What the battery is to give, and what it may take from the grid."""
        if by != "grid":
            return left, 0.0
        battery = self.told["battery"]
        reserve = max(battery["reserve"], battery["floor"]) * battery["energy"]
        refill = min(battery["refill"], max(0.0, reserve - self.held) / battery["in"] / seconds)
        return left - battery["shave"], max(0.0, battery["shave"] - max(0.0, left), refill - max(0.0, -left))

    def give_up(self):
        battery = self.told["battery"]
        if self.told["role"] != "carries the site in outages":
            self.trip_generator()
            return
        weak = not battery or self.generator == "runs"
        if not weak:
            weak = (self.held - battery["floor"] * battery["energy"]) * battery["out"] >= battery["discharge"]
        if not weak:
            self.empty = True
            return
        self.dark_for, self.trips = max(self.told["restart"], 1.0), self.trips + 1
        self.worn = dict.fromkeys(self.worn, 0.0)

    def trip_generator(self):
        self.generator, self.generator_for, self.trips = "out", 0.0, self.trips + 1
        self.worn["generator"] = 0.0

    def strain(self, by, carried, surge, surge_s, seconds):
        rating = {"connection": self.told["rating"] if by == "grid" else None, "inverter": None}
        driven = by == "alone" and self.driven
        if by == "alone" and self.told["role"] == "carries the site in outages":
            rating["inverter"] = self.told["va"]
        for what, points in (("connection", self.told["curve"]), ("inverter", self.told["overloads"])):
            part = 1.0 / rating[what] if rating[what] else 0.0
            mine = abs(carried) * (1.0 - self.part if driven and what == "inverter" else 1.0)
            beside = 0.0 if driven and what == "inverter" else surge
            if surge_s:
                self.worn[what] = wear(points, (mine + beside) * part, self.worn[what], surge_s)
            self.worn[what] = wear(points, mine * part, self.worn[what], seconds - surge_s)
        told = self.told["generator"]
        ratio = (carried * self.part + self.charging) / told["va"] if driven else 0.0
        self.worn["generator"] = wear(told["withstands"] if told else (), ratio, self.worn["generator"], seconds)
        if driven and surge > told["step"] * (1.0 + 1e-9):
            self.worn["generator"] = float("inf")
        tripped = [what for what in ("connection", "inverter", "generator") if self.worn[what] >= 1.0 - 1e-9]
        if tripped and tripped[0] == "generator":
            self.trip_generator()
        elif tripped:
            rest = self.told["closed_after"] if tripped[0] == "connection" else self.told["restart"]
            self.dark_for, self.trips = max(rest, 1.0), self.trips + 1
            self.worn = dict.fromkeys(self.worn, 0.0)


class Engine:
    """A site: rules, plain loads and a supply."""

    def __init__(self, rules_told, supply_told, ratings, surges, starting):
        self.rules, self.supply = plain_rules.Site(rules_told), Supply(supply_told)
        self.ratings, self.surges, self.starting = ratings, surges, starting
        self.power, self.runs, self.now, self.moves = 0.0, [False] * len(ratings), 0, []

    def second(self, rest, pv, grid, linked, beside=0.0):
        """Let a second pass; return (site, through the connection)."""
        self.supply.turn(not grid)
        before = copy.deepcopy((self.rules, self.supply))
        done = self.attempt(rest, pv, grid, linked, beside)
        while done is None:
            # One source after another may prove too weak.
            self.rules, self.supply = before
            self.supply.give_up()
            self.supply.turn(not grid)
            before = copy.deepcopy((self.rules, self.supply))
            done = self.attempt(rest, pv, grid, linked, beside)
        self.now += 1
        return done

    def attempt(self, rest, pv, grid, linked, beside):
        supply, before = self.supply, [load.closed for load in self.rules.loads]
        by = supply.source(grid)
        values = dict.fromkeys(range(len(self.ratings)), 0.0)
        self.rules.step(self.now, {"power": self.power, **values}, self.runs, by != "dark", linked)
        after = [load.closed for load in self.rules.loads]
        runs = [closed and by != "dark" for closed in after]
        draws = [rating if on else 0.0 for rating, on in zip(self.ratings, runs, strict=True)]
        site = rest + sum(draws) if by != "dark" else 0.0
        import_ = supply.feed(by, site, pv, beside, 1.0)
        if import_ is None:
            return None
        supply.dark_for = max(0.0, supply.dark_for - 1.0)
        supply.generator_for += 1.0
        begins = [i for i, on in enumerate(runs) if on and not self.runs[i] and self.surges[i] > 0.0]
        carried = import_ if by == "grid" else site
        supply.strain(by, carried, sum(self.surges[i] for i in begins), self.starting if begins else 0.0, 1.0)
        self.moves += [(self.now, i, on, self.rules.loads[i].why) for i, on in enumerate(after) if on is not before[i]]
        self.power, self.runs = carried, runs
        return site, import_, by

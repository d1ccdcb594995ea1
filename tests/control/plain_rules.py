"""Rules, links and contacts written plainly, to hold the compiled ones against. It imports nothing of the package.

It keeps instants where the compiled form keeps running times, and lists where that keeps rings.
"""

LONG_AGO = -1e9
STRONG = ("manual override", "shed")


class Gauge:
    """Values measured once in each interval, each seen after its report."""

    def __init__(self, interval, report):
        self.interval, self.report, self.cell, self.taken = interval, report, None, []

    def seen(self, now, value):
        cell = now // self.interval if self.interval > 0 else now
        if cell != self.cell:
            self.cell = cell
            self.taken.append((now + self.report, value))
        arrived = [value for when, value in self.taken if when <= now]
        # What was overtaken is never asked for again.
        self.taken = self.taken[max(0, len(arrived) - 1) :]
        return arrived[-1] if arrived else float("nan")


class Rule:
    """One rule: its contact is True (closed), False (open) or None (no say)."""

    def __init__(self, told):
        self.told, self.active, self.since, self.changed = told, False, None, LONG_AGO
        self.gauge = Gauge(told.get("interval", 0), told.get("report", 0))
        self.contact = self.first()

    def first(self):
        if not self.told["acts"]:
            return False if self.told["rests_open"] else None
        if self.told["kind"] == "cycle":
            return self.told["begins"] == "on"
        return not self.told["closes"]

    def look(self, now, signals):
        contact = self.says(now, signals)
        if contact is not self.contact:
            self.contact, self.changed = contact, now

    def says(self, now, signals):
        told = self.told
        if not told["acts"]:
            return False if told["rests_open"] else None
        if told["kind"] == "cycle":
            place = now % (told["on"] + told["off"])
            return place < told["on"] if told["begins"] == "on" else place >= told["off"]
        value = self.gauge.seen(now, signals[told["signal"]])
        above = told["above"]
        if self.active:
            turns, delay = (value <= told["drop"] if above else value >= told["drop"]), told["off_delay"]
        else:
            turns, delay = (value >= told["pick"] if above else value <= told["pick"]), told["on_delay"]
        if not turns:
            self.since = None
        else:
            self.since = now if self.since is None else self.since
            if now - self.since >= delay:
                self.active, self.since = not self.active, None
        return self.active is told["closes"]


class Load:
    """One load: its contact, and what its relay and its link remember."""

    def __init__(self, told):
        self.told, self.closed, self.moved = told, False, LONG_AGO
        self.sent, self.on_way, self.command, self.why_told = None, [], False, "start of the simulation"
        self.mood, self.lost_at, self.back_at, self.waits, self.shed, self.sent_shed = (
            "hears",
            None,
            LONG_AGO,
            False,
            False,
            False,
        )
        self.wish, self.why, self.before, self.cuts = False, "start of the simulation", False, 0


class Site:
    """Everything on a site that switches."""

    def __init__(self, told):
        self.told = told
        self.rules = [Rule(one) for one in told["rules"]]
        self.loads = [Load(one) for one in told["loads"]]
        self.order = told["shed"]["order"] if told["shed"] else []
        self.over_due = self.under_since = None
        if told["shed"]:
            self.shed_gauge = Gauge(told["shed"]["interval"], told["shed"]["report"])
        for i in self.in_turn():
            load = self.loads[i]
            load.wish = load.command = self.called(i)[0]
            load.sent = (load.command, False)
            held = any(first == i for first, _, _ in told["needs"])
            held = held or any(self.loads[first].closed for first, second, _ in told["locks"] if second == i)
            load.closed = load.told["never"] or (load.command and not held)

    def in_turn(self):
        done = []

        def take(i):
            for first, second, _ in self.told["locks"]:
                if second == i and first not in done:
                    take(first)
            if i not in done:
                done.append(i)

        for i in range(len(self.loads)):
            take(i)
        return done

    def called(self, i):
        mine = [rule for rule in self.rules if rule.told["load"] == i and rule.contact is not None]
        series = [rule.contact for rule in mine if not rule.told["beside"]]
        beside = [rule.contact for rule in mine if rule.told["beside"]]
        result = any(beside) or (all(series) if series else not beside)
        agree = [rule for rule in mine if rule.contact is result]
        if not agree:
            return result, "no rule"
        latest = max(rule.changed for rule in agree)
        return result, "rule " + [rule for rule in agree if rule.changed == latest][-1].told["id"]

    def step(self, now, signals, runs, supplied, linked):
        for rule in self.rules:
            rule.look(now, signals)
        self.protect(now, signals)
        for i, load in enumerate(self.loads):
            load.before = load.closed
            load.wish, load.why = self.wishes(i, load, now, supplied, linked)
        for i in self.in_turn():
            self.move(i, self.loads[i], now, runs, supplied)

    def protect(self, now, signals):
        told = self.told["shed"]
        if not told or not self.order:
            return
        seen = self.shed_gauge.seen(now, signals["power"])
        gone = [i for i in self.order if self.loads[i].shed]
        left = [i for i in self.order if not self.loads[i].shed]
        if seen >= told["pick"]:
            self.over_due = now + told["delay"] if self.over_due is None else self.over_due
            if now >= self.over_due and left:
                self.loads[left[0]].shed = True
                self.over_due = now + told["next"]
        else:
            self.over_due = None
        if seen <= told["restore"]:
            self.under_since = now if self.under_since is None else self.under_since
            if now - self.under_since >= told["back"] and gone:
                self.loads[gone[-1]].shed = False
                self.under_since = now
        else:
            self.under_since = None

    def ordered(self, i, now):
        """What the controller wants."""
        wanted, why = self.called(i)
        if self.loads[i].shed:
            wanted, why = False, "shed"
        for load, begins, ends, state in self.told["manual"]:
            if load == i and begins <= now < ends:
                wanted, why = state, "manual override"
        return wanted, why

    def wishes(self, i, load, now, supplied, linked):
        told = load.told
        if not supplied:
            load.on_way, load.mood, load.back_at = [], "powered up", None
            load.waits = not told["unattended"] and not told["never"]
        elif load.back_at is None:
            load.back_at = now
        if supplied and linked:
            wanted, why = self.ordered(i, now)
            if load.sent != (wanted, why in STRONG):
                if load.sent_shed and wanted and why not in STRONG:
                    why = "shedding ended"
                load.sent, load.sent_shed = (wanted, why in STRONG), why == "shed"
                load.on_way.append((now + told["link"], wanted, why))
        else:
            load.sent, load.sent_shed = None, False
        while load.on_way and load.on_way[0][0] <= now:
            _, load.command, load.why_told = load.on_way.pop(0)
            load.mood = "hears"
        load.lost_at = None if linked else (now if load.lost_at is None else load.lost_at)
        if not linked and now - load.lost_at >= told["lost_after"]:
            load.mood = "lost"
        wanted, why = load.command, load.why_told
        if load.mood == "powered up" and told["power_up"] is not None:
            wanted, why = told["power_up"], "state after power-up"
        if load.mood == "lost" and told["fail_safe"] is not None:
            wanted, why = told["fail_safe"], "link lost"
        return self.held(i, load, now, wanted, why)

    def held(self, i, load, now, wanted, why):
        told = load.told
        if load.closed and not wanted:
            if self.runs_on(i, now):
                wanted, why = True, "run-on"
            elif now - load.moved < told["min_on"] and why not in STRONG:
                wanted, why = True, "minimum on-time"
        elif not load.closed and wanted and now - load.moved < told["min_off"]:
            wanted, why = False, "minimum off-time"
        back = now if load.back_at is None else load.back_at
        if any(who == i and state and back <= begins <= now for who, begins, _, state in self.told["manual"]):
            load.waits = False
        if wanted and load.waits:
            return False, "waits for a person after an outage"
        if wanted and now - back < told["restart"]:
            return False, "restart delay after an outage"
        return wanted, why

    def runs_on(self, i, now):
        for first, second, run_on in self.told["needs"]:
            other = self.loads[first]
            if second == i and run_on > 0 and (other.closed or now - other.moved < run_on):
                return True
        return False

    def move(self, i, load, now, runs, supplied):
        closes = load.wish
        if closes and self.locked(i, runs):
            closes, load.why = False, "interlock"
        if load.told["never"]:
            closes, load.why = True, "may never be interrupted"
        if not supplied:
            closes, load.why = False, "no supply"
        if closes is not load.closed:
            load.cuts += load.closed and load.why == "shed" and now - load.moved < load.told["min_on"]
            load.closed, load.moved = closes, now

    def locked(self, i, runs):
        def fed(k):
            other = self.loads[k]
            return other.closed or other.before or other.told["never"]

        def proven(k):
            return all(runs[second] for first, second, _ in self.told["needs"] if first == k)

        for first, second, takes_over in self.told["locks"]:
            if first == i and fed(second):
                return True
            if second == i and (fed(first) or (takes_over and self.loads[first].wish and proven(first))):
                return True
        return not proven(i)

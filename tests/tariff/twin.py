"""A plain twin of the bill: one interval after the other, from the tariff as plain data. Imports nothing of ours.

Amounts are unrounded floats by label and month. Days are whole; the record begins at local midnight.
"""

import math
from calendar import monthrange
from collections import defaultdict
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def minute_of(text):
    """Minute of the day of "HH:MM"."""
    return 60 * int(text[:2]) + int(text[3:])


def day_fits(days, local, holidays):
    """Whether one of the named day types is that of a local time."""
    if not days:
        return True
    if local.date() in holidays:
        return "holiday" in days
    name = WEEKDAYS[local.weekday()]
    group = "weekend" if local.weekday() >= 5 else "working days"
    return name in days or group in days


def season_fits(data, names, local):
    """Whether a local time lies in one of the named seasons."""
    if not names:
        return True
    today = local.strftime("%m-%d")
    for season in data.get("season", []):
        for span in season["ranges"] if season["name"] in names else []:
            inside = [span["from"] <= today, today <= span["to"]]
            if all(inside) if span["from"] <= span["to"] else any(inside):
                return True
    return False


def period_at(data, local, holidays=()):
    """Price period of one local time."""
    minute = 60 * local.hour + local.minute
    for window in data.get("window", []):
        low, high = minute_of(window.get("from", "00:00")), minute_of(window.get("to", "24:00"))
        inside = low <= minute < high if low < high else minute >= low or minute < high
        if inside and day_fits(window.get("days"), local, holidays) and season_fits(data, window.get("seasons"), local):
            return window["period"]
    return data["rest"]


def bill_start(day, start_day):
    """First day of the bill a day is on."""
    if day.day >= start_day:
        return day.replace(day=start_day)
    before = day.replace(day=1) - timedelta(days=1)
    return before.replace(day=start_day)


def next_bill(first):
    """First day of the bill after that."""
    return first + timedelta(days=monthrange(first.year, first.month)[1])


class Month:
    """What one bill is made of."""

    def __init__(self):
        self.days = set()
        self.energy = defaultdict(float)
        self.export = defaultdict(float)
        self.daily = defaultdict(lambda: defaultdict(float))
        self.taken = []


def months_of(data, start_s, step_s, imported, exported, zone, holidays):
    """Walk over the intervals and sort them into bills."""
    months = {}
    netted = (data.get("export") or {}).get("netting") == "each interval"
    for index, shown in enumerate(imported):
        time_s = start_s + index * step_s
        local = datetime.fromtimestamp(time_s, UTC).astimezone(ZoneInfo(zone))
        month = months.setdefault(bill_start(local.date(), data["billing"]["start_day"]), Month())
        month.days.add(local.date())
        period = period_at(data, local, holidays)
        sent = 0.0 if exported is None else exported[index]
        net = shown - sent if netted else shown
        taken = max(net, 0.0) if not math.isnan(shown) else 0.0
        out = max(-net, 0.0) if not math.isnan(shown) else 0.0
        month.energy[period] += taken * step_s / 3.6e6
        month.daily[local.date()][period] += taken * step_s / 3.6e6
        month.export[period] += (out if netted else out + sent) * step_s / 3.6e6
        month.taken.append((time_s, local, math.nan if math.isnan(shown) else taken, period))
    return months


def in_blocks(energy, blocks, scale):
    """Price of energy by blocks."""
    amount, low = 0.0, 0.0
    for block in blocks:
        high = float(block["upto_kwh"]) * scale if "upto_kwh" in block else math.inf
        amount += float(block["price"]) * max(0.0, min(energy, high) - low)
        low = high
    return amount


def energy_amount(entry, month, share):
    """Amount of one energy charge."""
    if "prices" in entry:
        return sum(float(price) * month.energy[name] for name, price in entry["prices"].items())
    total = sum(month.energy.values())
    if "price" in entry:
        return float(entry["price"]) * total
    if entry["blocks_per"] == "day":
        return sum(in_blocks(sum(day.values()), entry["blocks"], 1.0) for day in month.daily.values())
    if "block_days" in entry:
        return in_blocks(total, entry["blocks"], len(month.days) / entry["block_days"])
    return in_blocks(total, entry["blocks"], 1.0 if entry.get("part_month") == "whole" else share)


def demand_windows(rule, taken, step_s):
    """Means of all windows with every reading, with the price period they begin in."""
    length = max(1, int(rule["window"].split()[0]) * 60 // step_s)
    if length == 1:
        return [(power, period) for _, _, power, period in taken]
    found = []
    for index in range(len(taken) - length + 1):
        _, local, _, period = taken[index]
        # An hour or its parts begin on whole multiples of local time; Athens is offset by whole hours.
        if rule["align"] == "rolling" or (60 * local.minute) % (length * step_s) == 0:
            found.append((sum(power for _, _, power, _ in taken[index : index + length]) / length, period))
    return found


def demand_of(rule, month, step_s):
    """Measured demand in the unit charged."""
    wanted = rule["periods"]
    means = [
        mean for mean, period in demand_windows(rule, month.taken, step_s)
        if not math.isnan(mean) and (not wanted or period in wanted)
    ]  # fmt: skip
    factor = float(rule["assumed_power_factor"]) if rule.get("quantity") == "kVA" else 1.0
    return max([0.0, *means]) / factor / 1000


def costs(data, start_s, step_s, imported, exported, zone, holidays=()):
    """Amounts by (label, first day of the bill)."""
    months = months_of(data, start_s, step_s, imported, exported, zone, holidays)
    found, demands = {}, {}
    for first, month in months.items():
        share = len(month.days) / (next_bill(first) - first).days
        lines = {}
        for fixed in data["fixed"]:
            year = (date(first.year + 1, 1, 1) - date(first.year, 1, 1)).days
            count = {"day": len(month.days), "month": share, "year": len(month.days) / year, "bill": 1}[fixed["per"]]
            lines[fixed["label"]] = float(fixed["price"]) * count
        for entry in data["energy"]:
            lines[entry["label"]] = energy_amount(entry, month, share)
        for rule in data["demand"]:
            number = 12 * first.year + first.month
            demands[number] = demand_of(rule, month, step_s)
            ratchet = rule.get("ratchet", {"share": "0", "months": 0})
            past = [demands.get(number - back, 0.0) for back in range(1, ratchet["months"] + 1)]
            billed = max(demands[number], float(ratchet["share"]) * max(past, default=0), float(rule.get("minimum", 0)))
            lines[rule["label"]] = float(rule["price"]) * billed * (share if rule["part_month"] == "by days" else 1)
        if data.get("export"):
            lines[data["export"]["label"]] = -float(data["export"]["price"]) * sum(month.export.values())
        for levy in data["levy"]:
            if "price" in levy:
                lines[levy["label"]] = float(levy["price"]) * sum(month.energy.values())
            else:
                base = sum(amount for label, amount in lines.items() if not levy["of"] or label in levy["of"])
                lines[levy["label"]] = float(levy["percent"]) / 100 * base
        found |= {(label, first): amount for label, amount in lines.items()}
    return found

"""A storage water heater written plainly, to hold the compiled one against. It imports nothing of the package."""

import math

WATER = 4186.8  # J/(l K), 1.163 Wh/(l K)


def valve(top, cold, use, flow):
    if top <= use or use <= cold:
        return flow
    return flow * (use - cold) / (top - cold)


def slopes(tank, temperatures, room, cold, flow, power, element):
    """K/s of each node, and the heat drawn and lost in W."""
    count = len(temperatures)
    heat = tank["litres"] / count * WATER
    loss = tank["ua"] / count
    through = valve(temperatures[0], cold, tank["use"], flow) * WATER
    result = []
    for k, now in enumerate(temperatures):
        under = temperatures[k + 1] if k + 1 < count else cold
        gain = through * (under - now) - loss * (now - room)
        if k > 0:
            gain += tank["conduct"] * (temperatures[k - 1] - now)
        if k + 1 < count:
            gain += tank["conduct"] * (under - now)
        result.append((gain + (power if k == element else 0.0)) / heat)
    return result, through * (temperatures[0] - cold), sum(loss * (now - room) for now in temperatures)


def step(tank, temperatures, seconds, room, cold, flow, power, element):
    """One step of Runge and Kutta's fourth order and the mixing of what rises: nodes, heat drawn and lost in J."""
    totals = [0.0] * len(temperatures)
    drawn = lost = 0.0
    trial = list(temperatures)
    for weight, ahead in ((1, 0.5), (2, 0.5), (2, 1.0), (1, 0.0)):
        slope, out, away = slopes(tank, trial, room, cold, flow, power, element)
        totals = [total + weight / 6 * one for total, one in zip(totals, slope, strict=True)]
        drawn += weight / 6 * out * seconds
        lost += weight / 6 * away * seconds
        trial = [start + ahead * seconds * one for start, one in zip(temperatures, slope, strict=True)]
    return mixed([start + seconds * total for start, total in zip(temperatures, totals, strict=True)]), drawn, lost


def mixed(temperatures):
    """Pool neighbours until no node is warmer than the one above it."""
    pools = []
    for now in temperatures:
        pools.append([now, 1])
        while len(pools) > 1 and pools[-2][0] < pools[-1][0]:
            (above, many), (below, few) = pools[-2], pools[-1]
            pools[-2:] = [[(above * many + below * few) / (many + few), many + few]]
    return [value for value, many in pools for _ in range(many)]


def calling(called, now, set_point, differential, limit, raised, raised_before):
    """Whether a thermostat calls: raising its set point begins a heating-through, whatever the differential."""
    target = min(max(set_point, raised), limit)
    if raised > raised_before and now < min(raised, limit):
        called = True
    if now >= target:
        return False
    return called or now <= target - differential


def cooled(start, room, litres, ua, hours):
    return room + (start - room) * math.exp(-hours * 3600 * ua / (litres * WATER))

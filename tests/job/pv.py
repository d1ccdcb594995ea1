"""An invented PV array and its strings, as a job file has them."""

ARRAY = '[[pv]]\npeak = "8 kW"\ntilt_deg = 20\nazimuth_deg = 180\n'
STRINGS = """[[strings]]
rules = "iec"
parallel = 2
array = 1
coldest = "-10 degC"
hottest = "40 degC"
building = "dwelling"
string_fuse = "15 A"
isolator = "roof hatch"
surge = "fitted"
[strings.module]
peak = "400 W"
open = "50 V"
working = "40 V"
short = "10 A"
at_work = "9.5 A"
open_per_k = "-0.3 %"
working_per_k = "-0.35 %"
system = "1000 V"
fuse = "20 A"
[strings.tracker]
most_voltage = "600 V"
window_low = "150 V"
window_high = "500 V"
input_current = "22 A"
short = "30 A"
ac = "8 kW"
"""
PV = '[[pv]]\npeak = "2 kW"\ntilt_deg = 30.0\nazimuth_deg = 180.0\n'
PV_METER = '[[meters]]\nid = "roof"\nbehind = "main"\n[[files]]\nid = "roof"\npath = "roof.csv"\nmeter = "roof"\n'
PV_METER += '[files.layout]\nstamps = "start"\n'


def sunny(sign: float = 1.0, night_w: float = 0.0) -> str:
    """Three days of an array that gives 2 kW from ten to two, counted in one way or the other."""
    rows = [
        f"2025-01-{6 + h // 24:02d} {h % 24:02d}:00,{sign * (2.0 if 10 <= h % 24 < 14 else -night_w / 1000):.3f}"
        for h in range(72)
    ]
    return "\n".join(["time,PV [kW]", *rows]) + "\n"


def meter_of_the_house(apart: bool) -> str:
    """What the main meter reads of a house of 0.5 kW and a pump of 1 kW from ten to noon behind that array."""
    rows = []
    for hour in range(72):
        net = 0.5 + (1.0 if hour % 24 in (10, 11) else 0.0) - (2.0 if 10 <= hour % 24 < 14 else 0.0)
        both = f"{max(net, 0):.3f},{max(-net, 0):.3f}" if apart else f"{net:.3f}"
        rows.append(f"2025-01-{6 + hour // 24:02d} {hour % 24:02d}:00,{both}")
    return "\n".join(["time,import [kW],export [kW]" if apart else "time,P [kW]", *rows]) + "\n"

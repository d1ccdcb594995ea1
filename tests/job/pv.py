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

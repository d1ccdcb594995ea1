"""The kinds of finding a bill can make, with their sentences."""

from wattwright.core.findings import Severity, define

UNPRICED = define(
    "tariff.unpriced",
    Severity.LOOK,
    says="Readings are missing for {missing:duration} ({months:text}); nothing was charged for that time.",
    why="The real bill was higher by what was used then.",
    do="Fill the gaps by a stated rule, or compare with the paid bill.",
    source="",
)
PART_MONTH = define(
    "tariff.part-month",
    Severity.NOTE,
    says="The bill of {month:text} covers {days:number} of {length:count} days.",
    why="Monthly charges and blocks were scaled to its days where the tariff allows it; its maximum demand may lie outside.",
    do="Do not compare it with a whole month.",
    source="",
)
DEMAND_COARSE = define(
    "tariff.demand-coarse",
    Severity.LOOK,
    says="{label:text} is charged on means over {window:duration}, but the record has steps of {step:duration}.",
    why="A mean over a longer time hides the peak, so the charge is understated.",
    do="Log at the window's length or finer.",
    source="",
)
DEMAND_NONE = define(
    "tariff.demand-none",
    Severity.LOOK,
    says="{label:text} found no window with all its readings in {months:text}.",
    why="Only the minimum or the ratchet could be charged.",
    do="Fill the gaps by a stated rule, or leave that month out.",
    source="",
)
RATCHET_HISTORY = define(
    "tariff.ratchet-history",
    Severity.NOTE,
    says="{label:text} looks back {months:count} months; the demand of {lacking:count} of them is not known and was taken "
    "as nought.",
    why="An earlier peak may hold the charge up.",
    do="Take the demands of those months from paid bills.",
    source="",
)
POWER_FACTOR_ASSUMED = define(
    "tariff.power-factor-assumed",
    Severity.LOOK,
    says="{label:text} depends on the power factor; none was read and {assumed:text} was assumed.",
    why="The charge changes in proportion.",
    do="Log reactive power beside active power.",
    source="",
)
REACTIVE_UNREAD = define(
    "tariff.reactive-unread",
    Severity.LOOK,
    says="The tariff charges reactive energy, but none was read; that charge is missing from the bill.",
    why="The real bill may be higher.",
    do="Log reactive power beside active power, or enter the amount from a paid bill.",
    source="",
)
EXPORT_UNPAID = define(
    "tariff.export-unpaid",
    Severity.NOTE,
    says="{energy:energy} were exported, for which the tariff gives nothing.",
    why="Exported energy was not set against imported energy either.",
    do="Add [tariff.export] if the supplier pays for it.",
    source="",
)
CARRIED = define(
    "tariff.carried",
    Severity.NOTE,
    says="{energy:energy} of exported energy are carried beyond the last bill.",
    why="They are worth something on later bills and are not in this total.",
    do="Nothing, unless the contract ends here.",
    source="",
)

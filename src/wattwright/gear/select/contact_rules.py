"""The rules by which a contact may carry and switch a load, each a function of its own."""

from collections.abc import Iterator

from wattwright.catalogue.equipment.contacts import Category, Contact
from wattwright.catalogue.equipment.items import Contactor, Controller
from wattwright.gear.circuit.appliance import Duty
from wattwright.gear.select.need import Need
from wattwright.gear.select.ruling import PRACTICE, Ruling, at_least, at_most, still_open, yes_or_no

Switch = Controller | Contactor

CATEGORIES: dict[Duty, tuple[Category, ...]] = {
    "heater": ("AC-1", "AC-7a"),
    "motor": ("AC-3", "AC-7b"),
    "compressor": ("AC-8a", "AC-8b"),
    "lamp": ("AC-5a", "AC-5b"),
    "electronics": ("AC-1", "AC-7a"),
}
"""Categories that a contact may be rated for to switch each kind of load: IEC 60947-4-1, table 1, and IEC 61095."""

CONTINUOUS = 1.25
"""A load of three hours and more takes at most 80 % of a device: NEC 210.20(A) for circuits, common practice for contacts."""
NEARLY_ONE = 0.95
"""Power factor from which a load counts as resistive: IEC 60947-4-1, category AC-1."""
MAKE: dict[Category, float] = {
    "AC-3": 10.0,
    "AC-7b": 8.0,
    "AC-8a": 6.0,
    "AC-8b": 6.0,
    "AC-5a": 3.0,
    "AC-5b": 1.5,
    "AC-1": 1.5,
    "AC-7a": 1.5,
}
"""Current that a contact of each category closes on, in times its rating: IEC 60947-4-1, table 7; AC-7 and AC-8 from memory."""


def category_of(contact: Contact, duty: Duty) -> Category | None:
    """Return the category by which a contact is rated for a kind of load.

    Of several the one with the highest current; of a lamp and a compressor the lowest, since nobody said which of theirs it is:
    of what kind the lamp is, and whether the compressor's protector resets by itself.
    """
    rated = [one for one in CATEGORIES[duty] if one in contact.ratings]
    pick = min if duty in ("lamp", "compressor") else max
    return pick(rated, key=lambda one: contact.ratings[one], default=None)


def share_in(switch: Switch, ambient_c: float) -> float:
    """Return the share of its rating that a device carries in air of ``ambient_c``; nought where it must not work at all."""
    if not switch.coldest_c <= ambient_c <= switch.hottest_c:
        return 0.0
    return max(0.0, 1.0 - switch.derates_per_k * max(0.0, ambient_c - switch.full_to_c))


def carries_a(switch: Switch, need: Need) -> float:
    """Return the current that a device may carry for this kind of load in this air; nought where it is not rated for it."""
    category = category_of(switch.contact, need.duty)
    return 0.0 if category is None else switch.contact.ratings[category] * share_in(switch, need.ambient_c)


def contact_rulings(switch: Switch, need: Need) -> tuple[Ruling, ...]:
    """Return every rule run on a device whose contact is to carry a load."""
    return tuple(_all(switch, need))


def _all(switch: Switch, need: Need) -> Iterator[Ruling]:
    yield poles(switch.contact, need)
    yield voltage(switch.contact, need)
    yield rated(switch.contact, need)
    if category_of(switch.contact, need.duty) is None:
        return
    yield air(switch, need)
    yield running(switch, need)
    if isinstance(switch, Controller) or need.duty not in ("motor", "compressor"):
        # Ratings of contactors for motors are ratings for running on: IEC 60947-4-1, uninterrupted duty.
        yield continuous(switch, need)
    if isinstance(switch, Contactor) and need.beside and switch.beside_share < 1.0:
        yield beside(switch, need)
    if need.starting_a > need.running_a:
        yield start(switch.contact, need)
    if need.duty == "compressor":
        yield reset(switch.contact)
    if need.duty in ("electronics", "lamp"):
        yield peak(switch.contact, need)
    yield guarded(switch, need)
    yield power_factor(switch.contact, need)
    yield life(switch.contact, need)


def poles(contact: Contact, need: Need) -> Ruling:
    """Return whether every live conductor opens."""
    clause = "common practice, no source; the neutral is never opened alone"
    says = f"opens {min(contact.poles, need.live_poles)} of {need.live_poles} live conductors"
    if contact.poles < need.live_poles:
        says += "; the others stay live at the load"
    return yes_or_no("live poles", clause, says, holds=contact.poles >= need.live_poles)


def voltage(contact: Contact, need: Need) -> Ruling:
    """Return whether the voltage between its terminals is within its rating."""
    says = f"{need.between_v:g} V between the conductors, rated to {contact.most_v:g} V"
    return at_most("voltage", "rating plate of the device", says, need.between_v, contact.most_v)


def rated(contact: Contact, need: Need) -> Ruling:
    """Return whether it is rated for this kind of load at all."""
    wanted = CATEGORIES[need.duty]
    category = category_of(contact, need.duty)
    clause = "IEC 60947-4-1 table 1, IEC 61095"
    if category is None:
        return yes_or_no("kind of load", clause, f"no {need.duty} rating ({' or '.join(wanted)})", holds=False)
    return yes_or_no("kind of load", clause, f"rated {contact.ratings[category]:g} A in {category}", holds=True)


def air(switch: Switch, need: Need) -> Ruling:
    """Return whether it works in this air."""
    says = f"air of {need.ambient_c:g} °C, made for {switch.coldest_c:g} to {switch.hottest_c:g} °C"
    return yes_or_no("air", "data sheet of the device", says, holds=share_in(switch, need.ambient_c) > 0)


def running(switch: Switch, need: Need) -> Ruling:
    """Return whether the running current is within the rating, as far as this air leaves it."""
    carries = carries_a(switch, need)
    says = f"{need.running_a:.2f} A, carries {carries:.3g} A in air of {need.ambient_c:g} °C"
    return at_most("running current", "rating plate of the device", says, need.running_a, carries)


def continuous(switch: Switch, need: Need) -> Ruling:
    """Return whether a load of three hours and more leaves the device the room it needs."""
    clause = f"NEC 210.20(A) for the circuit; for the contact {PRACTICE}" if need.rule_set == "nec" else PRACTICE
    if need.continuous is False:
        return yes_or_no("continuous load", clause, "never runs for three hours at a time", holds=True)
    carries, asked = carries_a(switch, need), CONTINUOUS * need.running_a
    unknown = "" if need.continuous else "; taken as continuous, since nobody said it is not"
    says = f"{need.running_a:.2f} A for three hours and more asks for {asked:.2f} A, carries {carries:.3g} A{unknown}"
    return at_most("continuous load", clause, says, asked, carries)


def beside(switch: Contactor, need: Need) -> Ruling:
    """Return whether it carries the load where others stand close on the rail."""
    carries = carries_a(switch, need) * switch.beside_share
    says = f"{need.running_a:.2f} A, carries {carries:.3g} A beside others without a spacer"
    return at_most("close to others", "data sheet of the device", says, need.running_a, carries)


def start(contact: Contact, need: Need) -> Ruling:
    """Return whether it closes on the starting current of a motor or a lamp."""
    category = category_of(contact, need.duty)
    if category is None:
        return yes_or_no("start", "IEC 60947-4-1 table 7", f"no {need.duty} rating", holds=False)
    if category == "AC-5b":
        return yes_or_no("start", "IEC 60947-4-1 table 1", "AC-5b holds for cold filaments, their start counted in", holds=True)
    # A category promises what it closes on; a device may say itself that it closes on less.
    closes = min(MAKE[category] * contact.ratings[category], contact.make_a or float("inf"))
    says = f"{need.starting_a:.3g} A at the start, closes on {closes:.3g} A ({category})"
    return at_most("start", "IEC 60947-4-1 table 7, data sheet of the device", says, need.starting_a, closes)


def reset(contact: Contact) -> Ruling:
    """Return whether it may switch a compressor whose protector resets by itself, as those of small ones do."""
    clause = "IEC 60947-4-1 table 1"
    if "AC-8b" in contact.ratings:
        return yes_or_no("reset of its protector", clause, "rated in AC-8b: its protector may reset by itself", holds=True)
    ask = "does the compressor's own protector reset by itself? This device is rated for one that is reset by hand (AC-8a)"
    return still_open("reset of its protector", clause, ask)


def peak(contact: Contact, need: Need) -> Ruling:
    """Return whether it closes on the peak into capacitors or cold filaments."""
    if need.peak_a is None:
        return still_open("inrush", PRACTICE, "ask the maker of the load for its inrush peak in A and how many share a contact")
    if contact.make_a is None:
        return still_open(
            "inrush", PRACTICE, f"ask the maker of the device for the peak it closes on; the load takes {need.peak_a:g} A"
        )
    says = f"{need.peak_a:g} A of inrush, closes on a peak of {contact.make_a:g} A"
    return at_most("inrush", PRACTICE, says, need.peak_a, contact.make_a)


def guarded(switch: Switch, need: Need) -> Ruling:
    """Return whether the breaker before it trips before the device itself is overloaded.

    A motor's contactor is guarded by its overload relay, and against a short circuit by what its maker allows before it.
    """
    clause = "IEC 60364-4-43 433.1, for the device as for the cable"
    if isinstance(switch, Contactor) and need.duty in ("motor", "compressor"):
        return still_open("breaker before it", clause, "ask the maker of the contactor for the largest breaker or fuse before it")
    if need.protected_a is None:
        return still_open("breaker before it", clause, "what is the rating of the breaker before it?")
    rated = [switch.contact.ratings[one] for one in ("AC-1", "AC-7a") if one in switch.contact.ratings]
    carries = max(rated, default=carries_a(switch, need)) * share_in(switch, need.ambient_c)
    says = f"breaker of {need.protected_a:g} A before it, carries {carries:.3g} A in air of {need.ambient_c:g} °C"
    return at_most("breaker before it", clause, says, need.protected_a, carries)


def power_factor(contact: Contact, need: Need) -> Ruling:
    """Return whether the rating holds at the power factor of the load."""
    category, clause = category_of(contact, need.duty), "IEC 60947-4-1 table 1"
    if category not in ("AC-1", "AC-7a"):
        return yes_or_no("power factor", clause, f"{category} holds for inductive loads", holds=True)
    resistive = need.power_factor >= NEARLY_ONE or need.duty == "electronics"
    says = f"power factor {need.power_factor:.2f}, {category} holds from {NEARLY_ONE:g}"
    return yes_or_no("power factor", clause, says, holds=resistive)


def life(contact: Contact, need: Need) -> Ruling:
    """Return whether the contact lasts as long as wanted at so many switchings a year."""
    category = category_of(contact, need.duty)
    count = None if category is None else contact.life.get(category)
    clause = f"electrical endurance, data sheet of the device; {need.years:g} years {PRACTICE}"
    if need.switchings_a_year is None:
        return still_open("life of the contact", clause, "how often is it switched in a year?")
    if count is None:
        return still_open("life of the contact", clause, "ask the maker for the electrical endurance at this kind of load")
    lasts = count / need.switchings_a_year if need.switchings_a_year > 0 else float("inf")
    says = (
        f"{need.switchings_a_year:.0f} switchings a year, {count:,} at rated current: {lasts:.3g} years of {need.years:g} wanted"
    )
    if lasts == float("inf"):
        return yes_or_no("life of the contact", clause, "is never switched", holds=True)
    return at_least("life of the contact", clause, says, lasts, need.years)

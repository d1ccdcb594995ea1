"""The rules by which the dry contact of a controller may switch the coil of a contactor."""

from collections.abc import Iterator

from wattwright.catalogue.equipment.contacts import Category, Coil, Contact
from wattwright.catalogue.equipment.items import Suppressor
from wattwright.gear.select.need import Need
from wattwright.gear.select.ruling import PRACTICE, Ruling, at_least, at_most, yes_or_no

SMALL_VA = 72.0
"""Coils up to this are category AC-14, larger ones AC-15: IEC 60947-5-1."""
MAKE: dict[Category, float] = {"AC-14": 6.0, "AC-15": 10.0}
"""Current that a contact of each category closes on, in times its rating: IEC 60947-5-1, from memory."""
SAME = 0.05
"""Share by which the voltage of a coil may differ from what it is fed with: 230 V and 240 V are one. Source: common practice."""


def coil_rulings(contact: Contact, coil: Coil, need: Need) -> tuple[Ruling, ...]:
    """Return every rule run on a contact that is to switch a coil."""
    return tuple(_all(contact, coil, need))


def drives(contact: Contact, coil: Coil, need: Need) -> bool:
    """Return whether no rule refuses a contact that is to switch a coil; it asks no further than the first that does."""
    return not any(one.is_broken for one in _all(contact, coil, need))


def _all(contact: Contact, coil: Coil, need: Need) -> Iterator[Ruling]:
    yield fed(coil, need)
    yield voltage(contact, need)
    category = category_of(contact, coil)
    yield rated(contact, coil)
    if category is not None:
        yield holds(contact, coil, need, category)
        yield closes(contact, coil, need, category)
    yield least_current(contact, coil, need)
    yield pulls_in(coil, need)


def category_of(contact: Contact, coil: Coil) -> Category | None:
    """Return the category by which a contact may switch a coil, None where it has no such rating."""
    wanted: tuple[Category, ...] = ("AC-14", "AC-15") if coil.holding_va <= SMALL_VA else ("AC-15",)
    return next((one for one in wanted if one in contact.ratings), None)


def fed(coil: Coil, need: Need) -> Ruling:
    """Return whether the coil is made for the voltage it is fed with."""
    says = f"coil for {coil.rated_v:g} V, fed with {need.coil_v:g} V"
    return yes_or_no("coil voltage", PRACTICE, says, holds=abs(coil.rated_v - need.coil_v) <= SAME * coil.rated_v)


def voltage(contact: Contact, need: Need) -> Ruling:
    """Return whether the contact may switch the voltage of the coil."""
    says = f"{need.coil_v:g} V, the contact is made for {contact.least_v:g} to {contact.most_v:g} V"
    holds = contact.least_v <= need.coil_v <= contact.most_v
    return yes_or_no("contact voltage", "rating plate of the device", says, holds=holds)


def rated(contact: Contact, coil: Coil) -> Ruling:
    """Return whether the contact is rated for coils of this size."""
    category = category_of(contact, coil)
    wanted = "AC-14" if coil.holding_va <= SMALL_VA else "AC-15"
    says = f"coil of {coil.holding_va:g} VA asks for {wanted}"
    says += f", rated {contact.ratings[category]:g} A in {category}" if category is not None else ", which it is not rated for"
    return yes_or_no("coil on the contact", "IEC 60947-5-1, AC-14 and AC-15", says, holds=category is not None)


def holds(contact: Contact, coil: Coil, need: Need, category: Category) -> Ruling:
    """Return whether the contact carries the coil while it is held."""
    amps, most = coil.holding_va / need.coil_v, contact.ratings[category]
    says = f"{coil.holding_va:g} VA at {need.coil_v:g} V are {amps:.3g} A held, rated {most:g} A in {category}"
    return at_most("holding current", "IEC 60947-5-1", says, amps, most)


def closes(contact: Contact, coil: Coil, need: Need, category: Category) -> Ruling:
    """Return whether the contact closes on what the coil takes while it pulls in."""
    amps, most = coil.closing_va / need.coil_v, MAKE[category] * contact.ratings[category]
    says = f"{coil.closing_va:g} VA at {need.coil_v:g} V are {amps:.3g} A while it closes, closes on {most:.3g} A ({category})"
    return at_most("coil inrush", "IEC 60947-5-1", says, amps, most)


def least_current(contact: Contact, coil: Coil, need: Need) -> Ruling:
    """Return whether the coil takes enough for the contact to stay clean."""
    amps = coil.holding_va / need.coil_v
    says = f"{amps * 1000:.3g} mA held, makes contact from {contact.least_a * 1000:.3g} mA"
    return at_least("least current", "data sheet of the device", says, amps, contact.least_a)


def pulls_in(coil: Coil, need: Need) -> Ruling:
    """Return whether the coil closes at the lowest voltage that the site has."""
    lowest, wanted = need.lowest_share * need.coil_v, coil.picks_up * coil.rated_v
    says = f"lowest voltage {lowest:.4g} V ({need.lowest_share:.0%} of {need.coil_v:g} V), closes for certain from {wanted:.4g} V"
    return at_least("pull-in", "IEC 60947-4-1 8.2.1.2; EN 50160 for the lowest voltage", says, lowest, wanted)


def suppressor_for(coil: Coil, need: Need, parts: tuple[Suppressor, ...]) -> Suppressor | None:
    """Return the smallest part that damps the switching peak of a coil; None where the coil has one, or none fits."""
    if coil.suppressed:
        return None
    fitting = [one for one in parts if one.most_v >= need.coil_v and one.most_va >= coil.holding_va]
    return min(fitting, key=lambda one: (one.most_va, one.most_v), default=None)

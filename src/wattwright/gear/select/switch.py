"""What switches a load: a device in its line, or a contactor whose coil the dry contact of a controller feeds."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from wattwright.catalogue.equipment.contacts import Coil
from wattwright.catalogue.equipment.items import Contactor, Controller, Item, Suppressor
from wattwright.catalogue.equipment.range import Range
from wattwright.gear.select.coil_rules import SAME, coil_rulings, drives, suppressor_for
from wattwright.gear.select.contact_rules import carries_a, contact_rulings
from wattwright.gear.select.need import Need
from wattwright.gear.select.ruling import PRACTICE, Judged, Ruling, at_most, still_open, yes_or_no

_BY_ITSELF = ("in-line switch", "CT meter", "time switch")
"""Controllers that switch any load by times or by orders, the first that comes to hand first.

Others watch what the load may not have.
"""


Watched = Literal["", "the load", "the supply"]
_TOLD = "radio-switch"
"""The class of gear that is told from elsewhere: what it measures is then the load it switches."""


@dataclass(frozen=True, slots=True)
class Scheme:
    """One way of switching a load: a controller, and a contactor with its damping part where the controller cannot carry it.

    ``watches`` says around which conductor the controller's own transformer lies; empty where it has none.
    """

    controller: Controller
    contactor: Contactor | None
    suppressor: Suppressor | None
    judged: Judged
    on_input: bool = False
    watches: Watched = ""

    @property
    def way(self) -> Literal["in line", "contactor", "control input"]:
        """Return which way it is."""
        if self.on_input:
            return "control input"
        return "in line" if self.contactor is None else "contactor"

    @property
    def parts(self) -> tuple[Item, ...]:
        """Return what is ordered for it, the controller first."""
        return tuple(one for one in (self.controller, self.contactor, self.suppressor) if one is not None)


@dataclass(frozen=True, slots=True)
class Choice:
    """What is to switch a load: the first of the schemes that pass, the others, and what was refused by which rule.

    ``refused`` holds devices, not every pairing of them: in-line ones, contactors, and controllers whose contact or settings
    do not do.
    """

    need: Need
    selected: Scheme | None
    also: tuple[Scheme, ...]
    refused: tuple[Judged, ...]


def choose(need: Need, range_: Range) -> Choice:
    """Return what switches a load, of all in a range; the simplest that every rule lets through, smallest first."""
    controllers = [one for one in range_.of(Controller) if _is_asked(one, need)]
    if need.way == "control circuit":
        return _on_inputs(need, controllers)
    passing, refused = list[Scheme](), list[Judged]()
    for controller in controllers:
        whole = Judged(controller.id, controller.name, (*_controller_rulings(controller, need), *_in_line(controller, need)))
        if whole.passes:
            passing.append(Scheme(controller, None, None, whole, watches=watched(controller, need)))
        elif controller.carries_load:
            refused.append(whole)
    contactors = list[tuple[Contactor, Judged]]()
    for contactor in range_.of(Contactor):
        judged = Judged(contactor.id, contactor.name, contact_rulings(contactor, need))
        if judged.passes:
            contactors.append((contactor, judged))
        else:
            refused.append(judged)
    parts = range_.of(Suppressor)
    paired, drive_none = _paired(controllers, contactors, need, parts)
    known = {one.id for one in refused} | {one.controller.id for one in passing}
    passing += paired
    refused += [one for one in drive_none if one.id not in known]
    ordered = sorted(passing, key=lambda one: _order(one, need))
    kept = _one_each(ordered)
    return Choice(need, kept[0] if kept else None, tuple(kept[1:]), tuple(refused))


def _on_inputs(need: Need, controllers: Sequence[Controller]) -> Choice:
    """Return what switches the input of a load's own controller: a dry contact, its load left on the mains."""
    judged = [(one, Judged(one.id, one.name, (*_controller_rulings(one, need), *_input(one)))) for one in controllers]
    passing = [Scheme(one, None, None, told, on_input=True, watches=watched(one, need)) for one, told in judged if told.passes]
    ordered = sorted(passing, key=lambda one: _order(one, need))
    return Choice(need, ordered[0] if ordered else None, tuple(ordered[1:]), tuple(told for _, told in judged if not told.passes))


def _input(controller: Controller) -> Iterator[Ruling]:
    """Yield the rules on a contact that is to work the input of another controller."""
    says = "its contact is free of its own supply" if controller.dry else "its contact puts its own supply on the input"
    yield yes_or_no("dry contact", PRACTICE, says, holds=controller.dry)
    contact = controller.contact
    least = f"the contact is made for {contact.least_v:g} to {contact.most_v:g} V and from {contact.least_a * 1000:g} mA on"
    yield still_open(
        "the load's input", "manual of the load", f"which voltage and current has the control input of the load? {least}"
    )


def _is_asked(controller: Controller, need: Need) -> bool:
    """Return whether a controller is of the class that the plan asks for; without a plan, whether it switches by itself."""
    if need.classes:
        return any(one in controller.works_as for one in need.classes)
    return controller.kind in (("probe controller",) if need.senses is not None else _BY_ITSELF)


def _controller_rulings(controller: Controller, need: Need) -> Iterator[Ruling]:
    """Yield the rules on the controller itself: what feeds it, where it hangs, which probes it takes."""
    low, high = controller.least_supply_v, controller.most_supply_v
    holds = low <= need.to_neutral_v <= high
    says = f"fed with {need.to_neutral_v:g} V, made for {low:g} to {high:g} V"
    yield yes_or_no("its own supply", "data sheet of the device", says, holds=holds)
    if need.senses is not None:
        senses = f"takes probes for {', '.join(controller.probes) or 'nothing'}, asked for {need.senses}"
        yield yes_or_no("probe", "data sheet of the device", senses, holds=need.senses in controller.probes)
    yield from _transformer(controller, need)
    if controller.link == "radio":
        yield still_open("radio reach", PRACTICE, "try the radio from the place of the device before it is mounted")


def watched(controller: Controller, need: Need) -> Watched:
    """Return what a controller's own transformer lies around: a relay that sheds by itself watches the supply."""
    if controller.measures_to_a is None:
        return ""
    told = controller.kind == "CT meter" and (not need.classes or _TOLD in need.classes)
    return "the load" if told else "the supply"


def _transformer(controller: Controller, need: Need) -> Iterator[Ruling]:
    """Yield the rule on a controller's own transformer: beyond its range it reads too little, and sheds too late."""
    if controller.measures_to_a is None:
        return
    most_a = controller.measures_to_a
    if watched(controller, need) == "the load":
        says = f"{need.running_a:.2f} A of the load, measures to {most_a:g} A"
        yield at_most("its transformer", PRACTICE, says, need.running_a, most_a)
        return
    if need.main_a is not None:
        says = f"main protection {need.main_a:g} A, its transformer lies around the supply and measures to {most_a:g} A"
        yield at_most("its transformer", PRACTICE, says, need.main_a, most_a)
        return
    ask = f"is the main protection at most {most_a:g} A? Its transformer lies around the supply and reads no further"
    yield still_open("its transformer", PRACTICE, ask)


def _in_line(controller: Controller, need: Need) -> Iterator[Ruling]:
    """Yield the rules on a controller whose own contact is to carry the load."""
    says = "its terminals take the cable of a load" if controller.carries_load else "its contact is for coils only"
    yield yes_or_no("terminals", "data sheet of the device", says, holds=controller.carries_load)
    if controller.carries_load:
        yield from contact_rulings(controller, need)
    if controller.carries_load and need.duty == "motor":
        ask = (
            "does the motor have a thermal protector of its own? If not, a motor-protective switch set to the plate's current "
            "goes before the device, or a contactor with an overload relay takes its place"
        )
        yield still_open("overload of the motor", "IEC 60947-4-1; NEC 430.32; from memory", ask)


def _paired(
    controllers: Sequence[Controller], contactors: Sequence[tuple[Contactor, Judged]], need: Need, parts: tuple[Suppressor, ...]
) -> tuple[list[Scheme], list[Judged]]:
    """Return each contactor that carries the load with the controller that goes before all others which drive its coil.

    And the controllers that drive none. A price list has thousands of both, but few coils: each is held to each coil once.
    """
    own = {one.id: tuple(_controller_rulings(one, need)) for one in controllers}
    able = [one for one in controllers if not any(told.is_broken for told in own[one.id])]
    groups = dict[Coil, list[tuple[Contactor, Judged]]]()
    for contactor, judged in contactors:
        groups.setdefault(contactor.coil, []).append((contactor, judged))
    schemes, driving = list[Scheme](), set[str]()
    for coil, group in groups.items():
        fit = [one for one in able if drives(one.contact, coil, need)]
        if not fit:
            continue
        driving |= {one.id for one in fit}
        part = suppressor_for(coil, need, parts)
        handiest, cheapest = min(fit, key=_handiness), min(fit, key=lambda one: (_price(one), *_handiness(one)))
        for contactor, judged in group:
            priced = contactor.price is not None and (part is None or part.price is not None)
            controller = cheapest if priced else handiest
            whole = _pair(controller, contactor, (*judged.rulings, *own[controller.id]), need, part)
            schemes.append(Scheme(controller, contactor, part, whole, watches=watched(controller, need)))
    near = next((one for one in contactors if abs(one[0].coil.rated_v - need.coil_v) <= SAME * need.coil_v), None)
    if near is None:
        return schemes, []
    idle = [one for one in controllers if one.id not in driving]
    told = [_pair(one, near[0], (*near[1].rulings, *own[one.id]), need, None) for one in idle]
    return schemes, [Judged(one.id, one.name, why.rulings) for one, why in zip(idle, told, strict=True)]


def _pair(
    controller: Controller, contactor: Contactor, rulings: tuple[Ruling, ...], need: Need, part: Suppressor | None
) -> Judged:
    """Return a controller and a contactor with every rule run on them."""
    driven = (*coil_rulings(controller.contact, contactor.coil, need), *_damped(contactor, part))
    name = f"{contactor.name}, switched by {controller.name}"
    return Judged(f"{controller.id}+{contactor.id}", name, (*rulings, *driven))


def _damped(contactor: Contactor, part: Suppressor | None) -> Iterator[Ruling]:
    clause = PRACTICE
    if contactor.coil.suppressed:
        yield yes_or_no("switching peak", clause, "the coil damps its own switching peak", holds=True)
    elif part is None:
        yield still_open("switching peak", clause, "which part damps the switching peak of this coil? Ask its maker")
    else:
        yield yes_or_no("switching peak", clause, f"{part.name} across A1 and A2", holds=True)


def _order(scheme: Scheme, need: Need) -> tuple[float, ...]:
    """Return what schemes are ordered by: fewest parts to wire, then price where all are known, then the smallest that does."""
    main = scheme.contactor or scheme.controller
    special = 0.0 if main.kind in ("in-line switch", "contactor") else 1.0
    prices = [one.price for one in scheme.parts]
    price = (
        sum((one for one in prices if one is not None), Decimal(0)) if all(one is not None for one in prices) else Decimal(10**9)
    )
    spare = carries_a(main, need)
    extra = float(main.contact.poles - need.live_poles)
    return (
        0.0 if scheme.contactor is None else 1.0, float(price), special, spare, extra,
        sum(one.modules for one in scheme.parts[1:]),
        *_handiness(scheme.controller),
    )  # fmt: skip


def _handiness(controller: Controller) -> tuple[float, ...]:
    """Return what controllers are ordered by where prices do not tell: the first to hand, with the least that is not needed."""
    handy = _BY_ITSELF.index(controller.kind) if controller.kind in _BY_ITSELF else len(_BY_ITSELF)
    return (float(handy), float(len(controller.probes)), float(controller.outputs), _size(controller))


def _price(item: Item) -> float:
    return float("inf") if item.price is None else float(item.price)


def _size(controller: Controller) -> float:
    """Return how large a controller is: its contact, and what its transformer measures."""
    return max(controller.contact.ratings.values()) + (controller.measures_to_a or 0.0)


def _one_each(ordered: Sequence[Scheme]) -> list[Scheme]:
    """Return schemes without those that only pair a device already chosen with yet another."""
    kept, seen = list[Scheme](), set[str]()
    for one in ordered:
        main = (one.contactor or one.controller).id
        if main not in seen:
            kept.append(one)
        seen.add(main)
    return kept

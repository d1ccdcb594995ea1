"""What a drawing says, read back from its strokes: which terminals it joins, and whether that is what the wiring says."""

from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise

from wattwright.gear.wiring.netlist import Terminal, Wiring, joined
from wattwright.gear.wiring.single_line import Joint
from wattwright.handover.drawings.sheet import Point, Sheet, overlaps

_NEAR_MM = 1e-6


def drawn_wires(sheet: Sheet) -> dict[int, frozenset[Terminal]]:
    """Return for the number of every wire drawn the terminals its ends lie on; an end that lies on none is left out."""
    found: dict[int, frozenset[Terminal]] = {}
    for stroke in sheet.strokes:
        if stroke.wire is not None:
            ends = (_on(sheet, stroke.points[0]), _on(sheet, stroke.points[-1]))
            found[stroke.wire] = frozenset(one for one in ends if one is not None)
    return found


def _on(sheet: Sheet, point: Point) -> Terminal | None:
    for (device, mark), at in sheet.terminals.items():
        if _same(at, point):
            return Terminal(device, mark)
    for (device, mark), stretches in sheet.rails.items():
        if any(within(point, begins, ends) for begins, ends in stretches):
            return Terminal(device, mark)
    return None


def faults(sheet: Sheet, wiring: Wiring) -> tuple[str, ...]:
    """Return where a drawing says another thing than the wiring, or cannot be read; empty where it is right."""
    return (*wiring.faults(), *_wires(sheet, wiring), *_over(sheet, wiring), *_through(sheet, wiring), *_texts(sheet))


def line_faults(sheet: Sheet, joints: Sequence[Joint]) -> tuple[str, ...]:
    """Return where a single-line diagram joins other terminals than the installation does, or cannot be read."""
    drawn, wanted = drawn_wires(sheet), {one.number: frozenset((one.begins, one.ends)) for one in joints}
    wrong = [one for one in joints if drawn.get(one.number) != wanted[one.number]]
    found = [f"line {one.number} is to join {one.begins} and {one.ends}, and is drawn otherwise" for one in wrong]
    found += [f"line {number} is drawn and belongs to nothing" for number in sorted(set(drawn) - set(wanted))]
    # Two lines over one another look joined.
    stretches = [(stroke.wire, a, b) for stroke in sheet.strokes if stroke.wire in wanted for a, b in pairwise(stroke.points)]
    found += [
        f"lines {one} and {other} lie over one another"
        for (one, a, b), (other, c, d) in combinations(stretches, 2)
        if one != other and _share_a_stretch(a, b, c, d)
    ]
    return (*found, *_texts(sheet))


def _wires(sheet: Sheet, wiring: Wiring) -> Iterator[str]:
    drawn = drawn_wires(sheet)
    for wire in wiring.wires:
        wanted = frozenset((wire.begins, wire.ends))
        if drawn.get(wire.number) != wanted:
            yield f"wire {wire.number} is to join {wire.begins} and {wire.ends}, and is drawn otherwise"
    if extra := set(drawn) - {wire.number for wire in wiring.wires}:
        yield f"wire {min(extra)} is drawn and is in no schedule"


def _over(sheet: Sheet, wiring: Wiring) -> Iterator[str]:
    """Yield the wires of different potential that lie on one another for a stretch, and so look joined."""
    together = joined(wiring.wires)
    begins = {wire.number: wire.begins for wire in wiring.wires}
    stretches = [
        (stroke.wire, a, b)
        for stroke in sheet.strokes
        if stroke.wire in begins
        for a, b in pairwise(stroke.points)
        if not _same(a, b)
    ]
    for (one, a, b), (other, c, d) in combinations(stretches, 2):
        if begins[other] not in together[begins[one]] and _share_a_stretch(a, b, c, d):
            yield f"wires {one} and {other} lie over one another and are not joined"


def _through(sheet: Sheet, wiring: Wiring) -> Iterator[str]:
    """Yield the wires that run over a terminal they do not belong to."""
    together = joined(wiring.wires)
    begins = {wire.number: wire.begins for wire in wiring.wires}
    for stroke in sheet.strokes:
        mine = begins.get(stroke.wire or 0)
        if mine is None:
            continue
        for (device, mark), at in sheet.terminals.items():
            other = Terminal(device, mark)
            if other not in together[mine] and any(within(at, a, b) for a, b in pairwise(stroke.points)):
                yield f"wire {stroke.wire} runs over {other}, which it does not join"


def _texts(sheet: Sheet) -> Iterator[str]:
    for one, other in overlaps(sheet.texts):
        yield f'"{one}" and "{other}" lie over one another'
    left, low, right, top = 0.0, 0.0, sheet.width_mm, sheet.height_mm
    for text in sheet.texts:
        box = text.box()
        if box[0] < left or box[1] < low or box[2] > right or box[3] > top:
            yield f'"{text.text}" lies beyond the sheet'


def _same(a: Point, b: Point) -> bool:
    return abs(a[0] - b[0]) < _NEAR_MM and abs(a[1] - b[1]) < _NEAR_MM


def within(point: Point, begins: Point, ends: Point) -> bool:
    """Return whether a point lies on an upright or level stretch."""
    (x, y), (x1, y1), (x2, y2) = point, begins, ends
    upright = abs(x1 - x2) < _NEAR_MM and abs(x - x1) < _NEAR_MM and min(y1, y2) - _NEAR_MM <= y <= max(y1, y2) + _NEAR_MM
    level = abs(y1 - y2) < _NEAR_MM and abs(y - y1) < _NEAR_MM and min(x1, x2) - _NEAR_MM <= x <= max(x1, x2) + _NEAR_MM
    return upright or level


def _share_a_stretch(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Return whether two upright or two level stretches lie on one another for more than a point."""
    for along, across in ((1, 0), (0, 1)):
        if (
            abs(a[across] - b[across]) < _NEAR_MM
            and abs(c[across] - d[across]) < _NEAR_MM
            and abs(a[across] - c[across]) < _NEAR_MM
        ):
            low, high = (
                max(min(a[along], b[along]), min(c[along], d[along])),
                min(max(a[along], b[along]), max(c[along], d[along])),
            )
            if high - low > _NEAR_MM:
                return True
    return False

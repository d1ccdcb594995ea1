"""Invented ESPI files, written with the standard library's element tree; nothing of the reader is used."""

import xml.etree.ElementTree as ET
from collections.abc import Sequence
from dataclasses import dataclass, field

ATOM = "{http://www.w3.org/2005/Atom}"
ESPI = "{http://naesb.org/espi}"
MIDNIGHT = 1704085200
"""2024-01-01T05:00:00Z, midnight at UTC-5."""


@dataclass
class R:
    """One reading: value, start and duration where it has its own time, quality codes, cost."""

    value: int | None
    start: int | None = None
    duration: int | None = None
    quality: Sequence[int] = ()
    cost: int | None = None


@dataclass
class Meter:
    """A meter reading: its type (None for none) and its blocks (start, duration, readings)."""

    type: dict[str, int] | None
    blocks: Sequence[tuple[int | None, int, Sequence[R]]]


WH = {"accumulationBehaviour": 4, "commodity": 1, "flowDirection": 1, "intervalLength": 3600, "kind": 12,
      "powerOfTenMultiplier": 0, "uom": 72}  # fmt: skip


@dataclass
class Point:
    """A usage point: service (0 electricity, 1 gas), title, meters."""

    meters: Sequence[Meter]
    service: int = 0
    title: str = ""
    extra: dict[str, str] = field(default_factory=dict)


def feed(points: Sequence[Point], *, links: bool = True, clock: dict[str, str] | None = None) -> bytes:
    """The points as a feed, linked by rel and href or only by their order."""
    root = ET.Element(ATOM + "feed")
    if clock:
        _entry(root, "ltp/1" if links else "", "", (), _element("LocalTimeParameters", clock))
    for p, point in enumerate(points, 1):
        u = f"u/{p}"
        usage = _element("UsagePoint", {})
        ET.SubElement(ET.SubElement(usage, ESPI + "ServiceCategory"), ESPI + "kind").text = str(point.service)
        _entry(root, u if links else "", "", [f"{u}/m"] if links else (), usage, point.title)
        for m, meter in enumerate(point.meters, 1):
            _meter(root, meter, f"{u}/m", m, links)
    return ET.tostring(root, encoding="utf-8", xml_declaration=True)


def _meter(root: ET.Element, meter: Meter, up: str, number: int, links: bool) -> None:
    me = f"{up}/{number}"
    rt = f"rt/{me.replace('/', '-')}"
    related = [f"{me}/b", rt] if meter.type is not None else [f"{me}/b"]
    _entry(root, me if links else "", up if links else "", related if links else (), _element("MeterReading", {}))
    if meter.type is not None:
        type_ = {tag: str(code) for tag, code in meter.type.items()}
        _entry(root, rt if links else "", "", (), _element("ReadingType", type_))
    for b, (start, duration, readings) in enumerate(meter.blocks, 1):
        block = _element("IntervalBlock", {})
        block.append(_period("interval", start, duration))
        for reading in readings:
            block.append(_reading(reading))
        _entry(root, f"{me}/b/{b}" if links else "", f"{me}/b" if links else "", (), block)


def _reading(reading: R) -> ET.Element:
    out = ET.Element(ESPI + "IntervalReading")
    if reading.cost is not None:
        ET.SubElement(out, ESPI + "cost").text = str(reading.cost)
    for code in reading.quality:
        ET.SubElement(ET.SubElement(out, ESPI + "ReadingQuality"), ESPI + "quality").text = str(code)
    if reading.start is not None:
        out.append(_period("timePeriod", reading.start, reading.duration or 3600))
    if reading.value is not None:
        ET.SubElement(out, ESPI + "value").text = str(reading.value)
    return out


def _period(tag: str, start: int | None, duration: int) -> ET.Element:
    out = ET.Element(ESPI + tag)
    ET.SubElement(out, ESPI + "duration").text = str(duration)
    if start is not None:
        ET.SubElement(out, ESPI + "start").text = str(start)
    return out


def _element(tag: str, texts: dict[str, str]) -> ET.Element:
    out = ET.Element(ESPI + tag)
    for name, text in texts.items():
        ET.SubElement(out, ESPI + name).text = text
    return out


def _entry(root: ET.Element, me: str, up: str, related: Sequence[str], content: ET.Element, title: str = "") -> None:
    entry = ET.SubElement(root, ATOM + "entry")
    for rel, href in (("self", me), ("up", up), *(("related", one) for one in related)):
        if href:
            ET.SubElement(entry, ATOM + "link", rel=rel, href=href)
    ET.SubElement(entry, ATOM + "title").text = title
    ET.SubElement(entry, ATOM + "content").append(content)

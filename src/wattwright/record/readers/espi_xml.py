"""ESPI XML (NAESB REQ.21) into its entries, parsed as a stream without entities, document types or deep nesting."""

import io
import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING
from xml.sax import SAXException
from xml.sax.handler import ContentHandler, feature_external_ges, feature_namespaces
from xml.sax.xmlreader import AttributesNSImpl, InputSource, Locator

import defusedxml.sax
from defusedxml.common import DefusedXmlException

from wattwright.core.errors import Place, RecordError, quoted

if TYPE_CHECKING:
    # What the parser hands over where namespaces are told apart.
    Name = tuple[str | None, str]

_DEEPEST = 40
_LONGEST_TEXT = 10_000
_CONTENTS = ("UsagePoint", "MeterReading", "ReadingType", "IntervalBlock", "LocalTimeParameters")
_WHOLE = re.compile(r"[+-]?\d{1,18}")


@dataclass(slots=True)
class Reading:
    """One IntervalReading: its line, its own start (UTC s) and duration (s) if any, its value as it stands, quality codes."""

    line: int
    start_s: int | None = None
    duration_s: int | None = None
    value: int | None = None
    quality: list[int] = field(default_factory=list)


@dataclass(slots=True)
class Block:
    """One IntervalBlock: the line it begins in, the start (UTC s) and duration (s) of its interval, and its readings."""

    line: int
    start_s: int | None = None
    duration_s: int | None = None
    readings: list[Reading] = field(default_factory=list)


@dataclass(slots=True)
class Entry:
    """One entry by its place among the others: the kind of its content, links, title, texts by path, and blocks."""

    number: int
    kind: str = ""
    self_link: str = ""
    up_link: str = ""
    related: list[str] = field(default_factory=list)
    title: str = ""
    texts: dict[str, str] = field(default_factory=dict)
    blocks: list[Block] = field(default_factory=list)

    def code(self, path: str) -> int | None:
        """Return the whole number at ``path`` below the content, None where there is none."""
        text = self.texts.get(path, "")
        return int(text) if _WHOLE.fullmatch(text) else None


@dataclass(frozen=True, slots=True)
class Feed:
    """The entries of a file in their order, and how many readings carried a cost."""

    entries: tuple[Entry, ...]
    costs: int


def read_feed(content: bytes, name: str) -> Feed:
    """Return the entries in ESPI XML.

    Raises RecordError with the line where the XML is broken, declares a document type or entities, nests too deep, or holds text
    where a whole number must stand.
    """
    handler = _Handler(name)
    parser = defusedxml.sax.make_parser()
    parser.forbid_dtd = True
    parser.setFeature(feature_namespaces, True)
    parser.setFeature(feature_external_ges, False)
    parser.setContentHandler(handler)
    source = InputSource()
    source.setByteStream(io.BytesIO(content))
    try:
        parser.parse(source)
    except DefusedXmlException as error:
        more = " that defines entities" if b"<!ENTITY" in content else ""
        why = "plain elements only: a document type may define entities, which grow without end or fetch other files"
        step = "Take the lines from <!DOCTYPE to its closing > out, or fetch the file again from where it came."
        raise _refused(name, handler.line(), f"a document type (<!DOCTYPE ...>){more}", why, step) from error
    except SAXException as error:
        raise _refused(name, handler.line(), "XML that breaks off or is damaged", "well-formed XML") from error
    return Feed(tuple(handler.entries), handler.costs)


_AGAIN = "Fetch the file again from where it came."


def _refused(name: str, line: int | None, found: str, wanted: str, step: str = _AGAIN) -> RecordError:
    return RecordError.one(
        "record.xml",
        Place(name, line),
        found=found,
        wanted=f"{wanted} (NAESB REQ.21 ESPI)",
        next_step=step,
    )


class _Handler(ContentHandler):
    """Gathers entries; an element outside of any entry makes one of its own."""

    def __init__(self, name: str) -> None:
        super().__init__()
        self.entries: list[Entry] = []
        self.costs = 0
        self._name = name
        self._locator: Locator | None = None
        self._path: list[str] = []
        self._text: list[str] = []
        self._length = 0
        self._entry: Entry | None = None
        self._content = -1
        self._block: Block | None = None
        self._reading: Reading | None = None

    def setDocumentLocator(self, locator: Locator) -> None:
        self._locator = locator

    def line(self) -> int | None:
        return self._locator.getLineNumber() if self._locator else None

    def startElementNS(self, name: "Name", qname: str | None, attrs: AttributesNSImpl) -> None:
        tag = name[1]
        self._path.append(tag)
        self._text, self._length = [], 0
        if len(self._path) > _DEEPEST:
            raise _refused(self._name, self.line(), f"elements nested {_DEEPEST + 1} deep", f"at most {_DEEPEST} levels")
        line = self.line() or 0
        if tag == "entry" and self._entry is None:
            self._entry = Entry(len(self.entries))
        elif tag in _CONTENTS and self._content < 0:
            self._entry = self._entry or Entry(len(self.entries))
            self._entry.kind, self._content = tag, len(self._path)
            if tag == "IntervalBlock":
                self._block = Block(line)
        elif tag == "IntervalReading" and self._block is not None:
            self._reading = Reading(line)
        elif tag == "link" and self._entry is not None:
            self._link(self._entry, str(attrs.get((None, "rel"), "")), str(attrs.get((None, "href"), "")))

    @staticmethod
    def _link(entry: Entry, rel: str, href: str) -> None:
        if rel == "self":
            entry.self_link = href
        elif rel == "up":
            entry.up_link = href
        elif rel == "related":
            entry.related.append(href)

    def characters(self, content: str) -> None:
        self._length += len(content)
        if self._length > _LONGEST_TEXT:
            raise _refused(self._name, self.line(), f"a text of more than {_LONGEST_TEXT:,} characters", "codes and numbers")
        self._text.append(content)

    def endElementNS(self, name: "Name", qname: str | None) -> None:
        tag, text = name[1], "".join(self._text).strip()
        self._text, self._length = [], 0
        if self._reading is not None:
            self._end_in_reading(self._reading, tag, text)
        elif self._block is not None:
            self._end_in_block(self._block, tag, text)
        elif self._entry is not None and self._content >= 0 and text:
            self._entry.texts["/".join(self._path[self._content :])] = text[:200]
        elif self._entry is not None and tag == "title" and text:
            self._entry.title = text[:80]
        if len(self._path) == self._content:
            self._content = -1
            if "entry" not in self._path:
                self._close()
        elif tag == "entry":
            self._close()
        self._path.pop()

    def _close(self) -> None:
        if self._entry is not None and self._entry.kind:
            self.entries.append(self._entry)
        self._entry = None

    def _end_in_reading(self, reading: Reading, tag: str, text: str) -> None:
        if tag == "IntervalReading" and self._block is not None:
            self._block.readings.append(reading)
            self._reading = None
        elif tag == "value":
            reading.value = self._whole(text, tag)
        elif tag == "start":
            reading.start_s = self._whole(text, tag)
        elif tag == "duration":
            reading.duration_s = self._whole(text, tag)
        elif tag == "quality":
            reading.quality.append(self._whole(text, tag))
        elif tag == "cost":
            self.costs += 1

    def _end_in_block(self, block: Block, tag: str, text: str) -> None:
        if tag == "IntervalBlock" and self._entry is not None:
            self._entry.blocks.append(block)
            self._block = None
        elif tag == "start":
            block.start_s = self._whole(text, tag)
        elif tag == "duration":
            block.duration_s = self._whole(text, tag)

    def _whole(self, text: str, tag: str) -> int:
        if not _WHOLE.fullmatch(text):
            raise RecordError.one(
                "record.xml-number",
                Place(self._name, self.line(), tag),
                found=quoted(text) if text else "nothing",
                wanted="a whole number",
                next_step=_AGAIN,
            )
        return int(text)

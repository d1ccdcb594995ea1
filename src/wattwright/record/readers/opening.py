"""From a path to bytes, unpacked from gzip, and from bytes to clean UTF-8 lines, with what was found said."""

import gzip
import io
import re
import zlib
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from wattwright.core.errors import Place, RecordError
from wattwright.core.files import SourceFile, read_bytes, source_of
from wattwright.record.words import has_word, plain, words

LARGEST_BYTES = 1 << 29
"""The most a file may hold when unpacked: 512 MiB, some 25 years of minutes."""

GZIP = b"\x1f\x8b"
"""How a gzip file begins."""

_MARK = b"\xef\xbb\xbf"
"""The byte order mark of UTF-8."""
_BLANKS = b"\0 \r\n\t"
_ONE_BYTE = ("cp1252", "cp1253", "cp1250", "cp1251", "mac_roman")

_OTHER_KINDS = (
    (b"\x89PNG", "a PNG picture"),
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"GIF8", "a GIF picture"),
    (b"%PDF", "a PDF document"),
    (b"PK\x03\x04", "a ZIP archive or spreadsheet"),
    (b"\xd0\xcf\x11\xe0", "an old spreadsheet or document"),
    (b"SQLite format 3", "a database"),
    (b"7z\xbc\xaf", "a 7z archive"),
    (b"Rar!", "a RAR archive"),
    (b"BZh91AY&SY", "a file packed by bzip2"),
    (b"\xfd7zXZ", "a file packed by xz"),
    (b"\x28\xb5\x2f\xfd", "a file packed by zstd"),
    (b"\x7fELF", "a program"),
    (b"<!doctype", "a web page"),
    (b"<html", "a web page"),
    (b"<?xml", "an XML document"),
)
_UNPACK = "Unpack it, and read the file of readings, or pack that as gzip or zip."
_TAR_AT = 257
"""Where the head of a tar archive says what it is (POSIX.1 ustar)."""


@dataclass(frozen=True, slots=True)
class Unpacked:
    """The bytes of a file or of a member of an archive (``name``), and what packed them (``compression``, may be empty)."""

    name: str
    content: bytes
    compression: str


@dataclass(frozen=True, slots=True)
class Opened:
    """The text of a meter file as UTF-8 bytes with plain line ends, and how it was packed and encoded."""

    name: str
    content: bytes
    encoding: str
    compression: str


def open_bytes(path: Path) -> tuple[Unpacked, SourceFile]:
    """Return the content of the file at ``path``, unpacked from gzip if it is packed, and what identifies the original.

    Raises FileError when it cannot be read and RecordError when it is damaged or too large.
    """
    file, original = read_packed(path)
    return file, source_of(path, original)


def read_packed(path: Path) -> tuple[Unpacked, bytes]:
    """Return the content of the file at ``path`` as :func:`open_bytes` does, and the bytes of the original."""
    _refuse_large(path)
    original = read_bytes(path)
    packed = original.startswith(GZIP)
    content = unpacked(original, path.name) if packed else original
    if packed and content.startswith(GZIP):
        raise RecordError.one(
            "record.gzip",
            Place(path.name),
            found="a gzip file packed into another gzip file",
            wanted="readings packed once at most",
            next_step="Unpack the file once and read what comes out.",
        )
    return Unpacked(path.name, content, "gzip" if packed else ""), original


def text_of(file: Unpacked) -> Opened:
    """Return the text in ``file``; raises RecordError when it is empty or not text."""
    content, name = file.content, file.name
    if not content[:4096].strip(_BLANKS) and not content.strip(_BLANKS):
        raise refused(name, "record.empty", found="an empty file" if not content else "nothing but blanks")
    for magic, kind in _OTHER_KINDS:
        if content[:16].lower().startswith(magic.lower()):
            raise refused(name, "record.not-text", found=kind, next_step=_UNPACK if "archive" in kind or "packed" in kind else "")
    if content[_TAR_AT : _TAR_AT + 5] == b"ustar":
        raise refused(name, "record.not-text", found="a tar archive", next_step=_UNPACK)
    text, encoding = _decoded(content, name)
    # Files that were joined keep the mark at the beginning of each.
    text = text.replace(_MARK, b"") if _MARK in text else text
    if b"\r" in text:
        text = text.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    return Opened(name, text, encoding, file.compression)


def refused(name: str, code: str, *, found: str, next_step: str = "") -> RecordError:
    """Return the error for a file that is no table of readings at all."""
    return RecordError.one(
        code,
        Place(name),
        found=found,
        wanted="delimited text with a date or time in each row and readings beside it",
        next_step=next_step or "Export the readings again as CSV.",
    )


def _refuse_large(path: Path) -> None:
    with suppress(OSError):
        size = path.stat().st_size
        if size > LARGEST_BYTES:
            raise refused(path.name, "record.too-large", found=f"a file of {size >> 20:,} MiB")


def unpacked(content: bytes, name: str) -> bytes:
    """Return what gzip packed into ``content``; raises RecordError when it is damaged or grows beyond all readings."""
    parts, size = [], 0
    try:
        with gzip.GzipFile(fileobj=io.BytesIO(content)) as stream:
            while part := stream.read(1 << 22):
                parts.append(part)
                size += len(part)
                if size > LARGEST_BYTES:
                    raise refused(name, "record.too-large", found=f"more than {LARGEST_BYTES >> 20} MiB when unpacked")
    except (EOFError, zlib.error, gzip.BadGzipFile) as error:
        raise RecordError.one(
            "record.gzip",
            Place(name),
            found="a gzip file that breaks off or is damaged",
            wanted="a whole gzip file",
            next_step="Copy the file again from where it came.",
        ) from error
    return b"".join(parts)


def _decoded(content: bytes, file: str) -> tuple[bytes, str]:
    """Return the content as UTF-8 without a byte order mark, and the name of the encoding it had."""
    for mark, name in ((_MARK, "utf-8"), (b"\xff\xfe", "utf-16-le"), (b"\xfe\xff", "utf-16-be")):
        if content.startswith(mark):
            return _as_utf8(content[len(mark) :], name, file), name
    if b"\0" in content:
        _refuse_nul(content, file)
    if content.isascii():
        return content, "utf-8"
    try:
        content.decode("utf-8")
    except UnicodeDecodeError:
        name = _guessed_encoding(content)
        return _as_utf8(content, name, file), name
    return content, "utf-8"


def _as_utf8(content: bytes, name: str, file: str) -> bytes:
    try:
        text = content.decode(name)
    except UnicodeDecodeError as error:
        row = content[: error.start].count(b"\n") + 1
        raise RecordError.one(
            "record.encoding",
            Place(file, row),
            found=f"the byte 0x{content[error.start]:02X}",
            wanted=f"text in {name}",
            next_step="Save the file again as UTF-8.",
        ) from error
    if "\0" in text:
        _refuse_nul(text.encode(), file)
    return text.encode()


def _refuse_nul(content: bytes, file: str) -> None:
    row = content[: content.index(b"\0")].count(b"\n") + 1
    raise RecordError.one(
        "record.nul",
        Place(file, row),
        found="a NUL byte (0x00)",
        wanted="text only",
        next_step="The file was damaged, or it is no text file; export it again as CSV in UTF-8.",
    )


def _guessed_encoding(content: bytes) -> str:
    """Return the one-byte encoding in which most words and signs are ones we know; Western where none is."""
    lines = [line for line in content[: 1 << 20].splitlines() if not line.isascii()][:50]
    known = [word for kind in ("quantity", "form", "direction", "month") for listed in words(kind).values() for word in listed]
    scores = {}
    for name in _ONE_BYTE:
        text = b"\n".join(lines).decode(name, errors="replace")
        flat = plain(" ".join(word for word in re.split(r"[\s_;,|()\[\]\"]+", text) if not word.isascii()))
        scores[name] = sum(has_word(flat, [word]) for word in known) + 0.5 * any(sign in text for sign in ("°C", "°F", "m³", "µ"))
    best = max(_ONE_BYTE, key=lambda name: scores[name])
    try:
        content.decode(best)
    except UnicodeDecodeError:
        return "latin-1"
    return best

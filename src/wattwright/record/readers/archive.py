"""Several files at once: a zip archive or a folder, its members opened one by one and nothing ever written to disk."""

import hashlib
import io
import stat
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path, PurePosixPath, PureWindowsPath

from wattwright.core.errors import FileError, Place, RecordError, quoted
from wattwright.core.files import SourceFile
from wattwright.record.readers.opening import GZIP, LARGEST_BYTES, Unpacked, open_bytes

ZIP = b"PK\x03\x04"
_EMPTY_ZIP = b"PK\x05\x06"
_MOST_MEMBERS = 5_000
_ENCRYPTED = 1
_ARCHIVES = (ZIP, GZIP, b"7z\xbc\xaf", b"Rar!", b"\xfd7zXZ", b"BZh")
_PART = 1 << 20

# A packing nobody uses, or a password, is a RuntimeError to the library.
DAMAGED = (zipfile.BadZipFile, zlib.error, EOFError, ValueError, OSError, RuntimeError)
"""What a damaged archive may raise."""


def is_zip(content: bytes) -> bool:
    """Return whether ``content`` begins as a zip archive does; workbooks do as well."""
    return content.startswith((ZIP, _EMPTY_ZIP))


def _names_in(content: bytes) -> frozenset[str]:
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            return frozenset(archive.namelist())
    except DAMAGED:
        return frozenset()


def members_of(file: Unpacked) -> list[Unpacked]:
    """Return the members of a zip archive in the order of their names, folders and hidden files left out.

    Raises RecordError where it is damaged, encrypted, holds an archive or a name that leads out of it, or grows beyond all
    readings when unpacked.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(file.content)) as archive:
            listed = [one for one in archive.infolist() if not one.is_dir()]
            _refuse_odd(listed, file.name)
            told = [one for one in listed if not _is_hidden(one.filename)]
            return list(_unpacked(archive, sorted(told, key=lambda one: one.filename), file.name))
    except DAMAGED as error:
        raise _refused(file.name, "", "a zip archive that breaks off, is damaged or packed in a rare way") from error


def _is_hidden(name: str) -> bool:
    return any(part.startswith((".", "__MACOSX")) for part in PurePosixPath(name).parts)


def _refuse_odd(listed: list[zipfile.ZipInfo], name: str) -> None:
    if not listed:
        raise _refused(name, "", "an empty archive")
    if len(listed) > _MOST_MEMBERS:
        raise _refused(name, "", f"{len(listed):,} files in one archive")
    for one in listed:
        path = PurePosixPath(one.filename)
        if ".." in path.parts or path.is_absolute() or "\\" in one.filename or PureWindowsPath(one.filename).drive:
            raise _refused(name, "", f"a member named {quoted(one.filename)}, which leads out of the archive")
        if stat.S_ISLNK(one.external_attr >> 16):
            raise _refused(name, one.filename, "a link to another file")
        if one.flag_bits & _ENCRYPTED:
            raise _refused(name, one.filename, "a member that is locked with a password")
    declared = sum(one.file_size for one in listed)
    if declared > LARGEST_BYTES:
        raise _too_large(name, f"{declared >> 20:,} MiB when unpacked")


def _unpacked(archive: zipfile.ZipFile, listed: list[zipfile.ZipInfo], name: str) -> Iterator[Unpacked]:
    left = LARGEST_BYTES
    for one in listed:
        parts = []
        with archive.open(one) as stream:
            # The size a member declares need not be true.
            while part := stream.read(_PART):
                left -= len(part)
                if left < 0:
                    raise _too_large(name, f"more than {LARGEST_BYTES >> 20} MiB when unpacked")
                parts.append(part)
        content = b"".join(parts)
        if content.startswith(_ARCHIVES) and not is_workbook(content):
            raise _refused(name, one.filename, "an archive within the archive")
        yield Unpacked(f"{name}/{one.filename}", content, "zip")


def is_workbook(content: bytes) -> bool:
    """Return whether a zip archive is a spreadsheet: Office Open XML or OpenDocument."""
    names = _names_in(content) if is_zip(content) else frozenset()
    return any(name.startswith("xl/") for name in names) or {"mimetype", "content.xml"} <= names


def _refused(name: str, member: str, found: str) -> RecordError:
    return RecordError.one(
        "record.archive",
        Place(f"{name}/{member}" if member else name),
        found=found,
        wanted="a sound zip archive of meter files, without password, links or archives within",
        next_step="Unpack it, look at what it holds, and give the folder or the files themselves.",
    )


def _too_large(name: str, found: str) -> RecordError:
    return RecordError.one(
        "record.too-large",
        Place(name),
        found=found,
        wanted=f"at most {LARGEST_BYTES >> 20} MiB of readings",
        next_step="Unpack it, look at what it holds, and give the files one by one.",
    )


def files_in(folder: Path) -> tuple[list[Unpacked], SourceFile]:
    """Return the files that stand in ``folder`` itself in the order of their names, hidden ones left out, and what they are.

    The checksum of a folder is that of its files' names and checksums. Raises FileError and RecordError.
    """
    try:
        paths = sorted(one for one in folder.iterdir() if one.is_file() and not one.name.startswith("."))
    except OSError as error:
        raise FileError.one(
            "file.unreadable",
            Place(str(folder)),
            found=(error.strerror or "a folder that cannot be opened").lower(),
            wanted="a folder of meter files that can be read",
            next_step="Check that you may read it.",
        ) from error
    if not paths:
        raise _no_files(folder, "a folder without files")
    if len(paths) > _MOST_MEMBERS:
        raise _no_files(folder, f"a folder of {len(paths):,} files")
    opened = [open_bytes(one) for one in paths]
    size = sum(source.size_bytes for _, source in opened)
    if sum(len(file.content) for file, _ in opened) > LARGEST_BYTES:
        raise _too_large(folder.name, f"a folder of more than {LARGEST_BYTES >> 20} MiB")
    listing = "\n".join(f"{source.sha256}  {source.name}" for _, source in opened)
    source = SourceFile(folder.resolve().name, size, hashlib.sha256(listing.encode()).hexdigest())
    return [file for file, _ in opened], source


def _no_files(folder: Path, found: str) -> FileError:
    return FileError.one(
        "file.unreadable",
        Place(str(folder)),
        found=found,
        wanted=f"meter files, at most {_MOST_MEMBERS:,}, that stand in the folder itself",
        next_step="Name the folder that holds the files of one meter.",
    )

"""Jobs taken from a folder or a zip file, and given as one: job.toml with the files it names."""

import hashlib
import io
import lzma
import stat
import zipfile
import zlib
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path, PurePosixPath

from wattwright.core.errors import JobError, Place, StoreError, quoted
from wattwright.core.files import read_bytes
from wattwright.core.specfile import parse_text
from wattwright.job.file import FILE_NAME, load_job, parsed
from wattwright.job.spec import JobSpec
from wattwright.job.upgrade import brought_up
from wattwright.proof.seal import AFTER_RECORD, AFTER_WEATHER, FROZEN_FILES
from wattwright.store.jobs import Revision
from wattwright.store.named import require_short
from wattwright.store.paths import safe_path
from wattwright.store.store import Files, Store

MOST_FILES = 500
MOST_BYTES = 400 * 1024 * 1024
"""Most that all files of a job may hold together; a year of a meter's seconds is below 1 GB as text and 100 MB packed."""
REFUSED = "store.refused"
"""The code of what is told of a zip file or a folder as a whole."""
_EPOCH = (1980, 1, 1, 0, 0, 0)
"""The earliest date a zip file knows: the same job gives the same bytes."""


def read_folder(path: Path) -> tuple[str, Files]:
    """Return the text of a job file, the files it names, what was frozen of its proof, and the record of the time after.

    Raises FileError, JobError, StoreError for a file outside.
    """
    file = path / FILE_NAME if path.is_dir() else path
    require_short(len(read_bytes(file)))
    job = load_job(path)
    text = read_bytes(job.path).decode("utf-8-sig")
    files: dict[str, bytes] = {}
    frozen = sorted(one.name for one in job.folder.glob(FROZEN_FILES) if one.is_file())
    after = [one for one in (AFTER_RECORD, AFTER_WEATHER) if (job.folder / one).is_dir()]
    # A photo that is gone is missed by nothing; a meter file that is gone is told.
    photos = [path for one in job.spec.loads for path in one.photos if (job.folder / path).is_file()]
    for name in (*named_files(job.spec), *photos, *frozen, *after):
        for one in _within(job.folder, safe_path(name)):
            files[one.relative_to(job.folder).as_posix()] = read_bytes(one)
            _require_room(len(files), sum(map(len, files.values())))
    return brought_up(text, str(job.path)), files


def named_files(spec: JobSpec) -> tuple[str, ...]:
    """Return the paths a job names, each once."""
    beside = spec.weather.file, spec.measurement.weather, spec.plan.gear
    named = [*(one.path for one in spec.files), *spec.tariff.files, *beside, *spec.gear.catalogue]
    return tuple(dict.fromkeys(one for one in named if one))


def read_zip(content: bytes) -> tuple[str, Files]:
    """Return the text of the job file in a zip file, and the files beside it.

    Names that begin with a dot, and what a Mac adds, are passed over. Raises StoreError for what is no zip file, holds no job, or
    is made to harm: paths that lead out, links, and more than a job may hold, counted as it is unpacked and not as it says of
    itself. Raises JobError for a wrong job file.
    """
    top, files = _in_zip(content)
    text = _text(files.pop(top))
    return text, _below(top, files)


def files_in_zip(content: bytes) -> Files:
    """Return the files beside the job file in a zip file; it is not read. Raises what ``read_zip`` does but JobError."""
    top, files = _in_zip(content)
    del files[top]
    return _below(top, files)


def _in_zip(content: bytes) -> tuple[PurePosixPath, dict[PurePosixPath, bytes]]:
    """The job file's path in a zip file, and all that is unpacked of it."""
    with _told_as_ours():
        archive = zipfile.ZipFile(io.BytesIO(content))
        files = _unpacked(archive, _entries(archive))
    return _top(files), files


def _below(top: PurePosixPath, files: Mapping[PurePosixPath, bytes]) -> Files:
    below = {path.relative_to(top.parent).as_posix(): one for path, one in files.items() if path.is_relative_to(top.parent)}
    return {safe_path(path): one for path, one in below.items()}


def text_in_zip(content: bytes) -> str:
    """Return the text of the job file in a zip file, which alone is unpacked. Raises what ``read_zip`` does."""
    with _told_as_ours():
        archive = zipfile.ZipFile(io.BytesIO(content))
        entries = _entries(archive)
        top = _top(entries)
        files = _unpacked(archive, {top: entries[top]})
    return _text(files[top])


def as_zip(store: Store, revision: Revision) -> bytes:
    """Return a revision as a zip file, the same bytes for the same revision."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in ((FILE_NAME, revision.text.encode()), *((p, store.content(s)) for p, s in revision.files.items())):
            archive.writestr(zipfile.ZipInfo(name, _EPOCH), content, zipfile.ZIP_DEFLATED)
    return out.getvalue()


def take_folder(store: Store, path: Path, cause: str, cleaned: Callable[[str, Files], Files] = lambda _, files: files) -> str:
    """Return the id of the job of a folder: the one read from there before, with what lies there now, or a new one.

    ``cleaned`` makes of the text of the job file and the files beside it those that are kept; what the job holds already is as it
    was kept. Raises what it and ``read_folder`` do.
    """
    text, found = read_folder(path)
    origin = origin_of(path)
    known = next((one for one in store.jobs() if one.origin == origin), None)
    held = frozenset() if known is None else frozenset(known.head.files.values())
    same = {name: content for name, content in found.items() if _print(content) in held}
    files = {**same, **cleaned(text, {name: content for name, content in found.items() if name not in same})}
    if known is None:
        return store.add(text, files, cause, origin)
    if not was_read(store, known.head, text, files):
        store.change(known.head, text, cause, files, tuple(set(known.head.files) - set(files)))
    return known.id


def origin_of(path: Path) -> str:
    """Return how the store names the folder of a job, given by the folder or the job file in it."""
    return str((path if path.is_dir() else path.parent).resolve())


def was_read(store: Store, head: Revision, text: str, files: Files) -> bool:
    """Return whether this content is that of the revision or of one it was made from: it was read before, then changed here."""
    prints = {path: _print(content) for path, content in files.items()}
    at: Revision | None = head
    while at is not None:
        if at.text == text and at.files == prints:
            return True
        at = None if at.parent is None else store.revision(head.job, at.parent)
    return False


def is_kept(store: Store, job: str, text: str, files: Files) -> bool:
    """Return whether this content is that of any revision of the job, also of one that was taken back."""
    prints = {path: _print(content) for path, content in files.items()}
    every = (store.revision(job, number) for number in range(store.newest(job), 0, -1))
    return any(one.text == text and one.files == prints for one in every)


def _print(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _within(folder: Path, name: str) -> Iterator[Path]:
    """Yield a file of a folder, or the files of a folder in it; none by a link that leads out."""
    path = folder / name
    found = sorted(one for one in path.rglob("*") if one.is_file()) if path.is_dir() else [path]
    for one in found:
        if not one.resolve().is_relative_to(folder.resolve()):
            raise _refused(f"{quoted(name)}, a link that leads out of the folder", "files in the job's own folder")
        yield one


@contextmanager
def _told_as_ours() -> Iterator[None]:
    try:
        yield
    except (zipfile.BadZipFile, zlib.error, lzma.LZMAError, RuntimeError, EOFError, ValueError, OSError) as error:
        # What its library says is about its own parts, and names them as a program does.
        raise _refused("a damaged or locked file", "a zip file with a job in it") from error


def _entries(archive: zipfile.ZipFile) -> dict[PurePosixPath, zipfile.ZipInfo]:
    """The files of an archive that are a job's, by the path each is kept under."""
    found, seen = dict[PurePosixPath, zipfile.ZipInfo](), set[str]()
    for entry in archive.infolist():
        if entry.is_dir() or any(map(_is_hidden, PurePosixPath(entry.filename).parts)):
            continue
        kind = stat.S_IFMT(entry.external_attr >> 16)
        if kind not in (0, stat.S_IFREG):
            raise _refused(f"{quoted(entry.filename)}, a link or a device", "plain files alone")
        path = _kept(PurePosixPath(entry.filename))
        if str(path).casefold() in seen:
            raise _refused(f"{quoted(entry.filename)} twice", "each file once")
        seen.add(str(path).casefold())
        found[path] = entry
        _require_room(len(found), 0)
    if any(str(one).casefold() in seen for path in map(PurePosixPath, seen) for one in path.parents):
        raise _refused("a file and a folder of one name", "each name once")
    return found


def _is_hidden(part: str) -> bool:
    """Whether a system put a file there for itself: with a dot at its beginning, or in the folder that a Mac adds."""
    return part == "__MACOSX" or (part.startswith(".") and part != "..")


def _kept(path: PurePosixPath) -> PurePosixPath:
    """The path as it is kept. The job file itself may not be named as one of the files beside it."""
    if path.name != FILE_NAME:
        return PurePosixPath(safe_path(str(path)))
    return PurePosixPath(safe_path(str(path.with_name("job")))).with_name(FILE_NAME)


def _unpacked(archive: zipfile.ZipFile, entries: Mapping[PurePosixPath, zipfile.ZipInfo]) -> dict[PurePosixPath, bytes]:
    files, size = dict[PurePosixPath, bytes](), 0
    for path, entry in entries.items():
        with archive.open(entry) as packed:
            files[path] = packed.read(MOST_BYTES - size + 1)
        size += len(files[path])
        _require_room(len(files), size)
    return files


def _top(paths: Iterable[PurePosixPath]) -> PurePosixPath:
    """The job file that lies highest."""
    found = min((path for path in paths if path.name == FILE_NAME), key=lambda path: len(path.parts), default=None)
    if found is None:
        raise _refused(f"no {FILE_NAME}", "a zip file with a job in it")
    return found


def _text(content: bytes) -> str:
    """The text of a job file, of today's version and tried."""
    require_short(len(content))
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise _refused(f"a {FILE_NAME} that is not UTF-8", "a job file as text") from error
    text = brought_up(text, FILE_NAME)
    parsed(parse_text(text, FILE_NAME, JobError))
    return text


def _require_room(count: int, size_bytes: int) -> None:
    if count > MOST_FILES or size_bytes > MOST_BYTES:
        raise _refused("more", f"a job of {MOST_FILES} files and {MOST_BYTES // 2**20} MB at most")


def _refused(found: str, wanted: str) -> StoreError:
    step = "Nothing was kept. Make it anew and give it again."
    return StoreError.one(REFUSED, Place(field="what was given"), found=found, wanted=wanted, next_step=step)

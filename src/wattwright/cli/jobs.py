"""The verb about the jobs of the desk: which there are, one written into a folder, and one taken back from a folder or a zip."""

from pathlib import Path

from wattwright.cli.desking import CAUSE, usual_folder
from wattwright.cli.verbs import say
from wattwright.core.envelope import to_json
from wattwright.core.errors import UsageError
from wattwright.core.files import read_bytes
from wattwright.job.edit import Edit
from wattwright.store.giving import give_folder
from wattwright.store.jobs import Listed
from wattwright.store.store import Store
from wattwright.web.bench import Bench
from wattwright.web.taking_in import opened, taken_in


def desk_jobs(kept: tuple[Path | None, str], give: str, into: Path | None, take: Path | None, json: bool) -> None:
    """List the jobs of a store, or write one into a folder, or take one from a folder or zip file.

    ``kept`` are folder and database of the store. Raises FileError, JobError, StoreError, UsageError.
    """
    if bool(give) != (into is not None) or (give and take is not None):
        raise UsageError("--give and --into belong together, and --take goes without them. See: wattwright jobs --help")
    folder, url = kept
    store = Store(folder or usual_folder(), url)
    try:
        if into is not None:
            _told(store, _given(store, give, into), into, json)
        elif take is not None:
            _told(store, _taken(store, take), take, json)
        else:
            _listed(store.jobs(), json)
    finally:
        store.close()


def _given(store: Store, asked: str, into: Path) -> str:
    named = [one for one in store.jobs() if asked in (one.id, _name(one))]
    if not named:
        raise UsageError(f'--give: no job with the id or name "{asked}". List them: wattwright jobs')
    if len(named) > 1:
        raise UsageError(f'--give: {len(named)} jobs are named "{asked}". Give the id: {", ".join(one.id for one in named)}')
    return give_folder(store, named[0].id, into).job


def _taken(store: Store, take: Path) -> str:
    bench = Bench()
    try:
        if take.is_file() and take.suffix.lower() == ".zip":
            return taken_in(bench, read_bytes(take), lambda text, _, files, cause: store.add(text, files, cause), str(take))
        return opened(store, bench, take, CAUSE)
    finally:
        bench.close()


def _told(store: Store, job: str, path: Path, json: bool) -> None:
    revision = store.head(job).number
    if json:
        say(to_json("wattwright.job/1", {"job": job, "revision": revision, "path": str(path)}))
        return
    say(f"{path}: job {job}, revision {revision}")


def _listed(jobs: tuple[Listed, ...], json: bool) -> None:
    rows = [{"job": one.id, "name": _name(one), "revision": one.head.number, "folder": one.origin} for one in jobs]
    if json:
        say(to_json("wattwright.jobs/1", {"jobs": rows}))
        return
    for row in rows:
        say(f"{row['job']}  {row['name']}" + (f"  ({row['folder']})" if row["folder"] else ""))
    if not rows:
        say("The desk has no job yet. Open it with: wattwright desk")


def _name(one: Listed) -> str:
    return str(Edit(one.head.text).value("name") or "")

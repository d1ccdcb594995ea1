"""The desk as a web application: each address answered with a page, a file or a page that says what is wrong."""

import datetime as dt
import io
import json
import zipfile
from collections.abc import AsyncIterator, Callable, Mapping
from dataclasses import replace
from functools import wraps
from typing import Annotated, Any

import anyio
from anyio import to_thread
from fastapi import Depends, FastAPI, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response, StreamingResponse
from starlette.exceptions import HTTPException

from wattwright.charts.picture import Picture
from wattwright.charts.reading import reading_json
from wattwright.charts.render import drawing_png, live_drawing, picture_file, png, titled
from wattwright.core.errors import Fault, FileError, InputError, JobError, Place
from wattwright.handover.papers import CABLES, DRAWINGS, PAGE, PDF, SHEETS as OF_MOUNTING, SURVEY, TERMINALS, WORKBOOK
from wattwright.handover.phone import PHONE, phone
from wattwright.store.exchange import as_zip
from wattwright.web.actions import Actions, Refused
from wattwright.web.assets import asset
from wattwright.web.desk import Desk, is_conflict, slug
from wattwright.web.failing import Failing, failing, failing_of, missing, not_yet, of_another
from wattwright.web.figures import as_csv
from wattwright.web.forms import typed, with_faults
from wattwright.web.guard import Application, Guard, TooMuch
from wattwright.web.held import PAST, HeldJob
from wattwright.web.links import PREVIEWS, SHEETS, links
from wattwright.web.page_forms import known_look, with_fields
from wattwright.web.posted import Posted, foreign, posted
from wattwright.web.quick import keep_load, quick_page
from wattwright.web.render import Page, rendered
from wattwright.web.sheets.gear import WiringDrawing
from wattwright.web.showing import Showing, Tried, run_view, start_forms
from wattwright.web.stretch import Stretches
from wattwright.web.taking_in import taken_in
from wattwright.web.whole import Whole
from wattwright.web.words import words

_FRESH = {"cache-control": "no-store"}
_LASTING = {"cache-control": "private, max-age=31536000, immutable"}
_MEDIA = {
    PDF: "application/pdf", PAGE: "text/html; charset=utf-8", OF_MOUNTING: "application/pdf", DRAWINGS: "application/pdf",
    SURVEY: "application/pdf",
    WORKBOOK: "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", TERMINALS: "text/csv; charset=utf-8",
    CABLES: "text/csv; charset=utf-8",
}  # fmt: skip
_PICTURES: Mapping[str, Callable[[Picture], str | bytes | None]] = {
    "svg": picture_file, "png": lambda one: png(titled(one)),
    "light.png": lambda one: png(one.spec), "dark.png": lambda one: png(one.spec, mode="dark"),
    "narrow-light.png": lambda one: None if one.narrow is None else png(one.narrow),
    "narrow-dark.png": lambda one: None if one.narrow is None else png(one.narrow, mode="dark"),
    "wide.json": lambda one: _live(one.spec), "narrow.json": lambda one: None if one.narrow is None else _live(one.narrow),
    "reading.json": lambda one: None if one.reading is None else _json(reading_json(one, one.reading.zoom)),
}  # fmt: skip
"""The forms of a picture."""
_WIRING_FILES: Mapping[str, tuple[str, Callable[[WiringDrawing], bytes]]] = {
    "svg": ("image/svg+xml", lambda one: one.svg),
    "png": ("image/png", lambda one: drawing_png(one.svg.decode())),
    "csv": ("text/csv; charset=utf-8", lambda one: as_csv(one.tables[1]).encode("utf-8-sig")),
}
"""The files of a drawing of the equipment: media type, and how each is made."""
_PICTURE_MEDIA = {"svg": "image/svg+xml", "png": "image/png", "json": "application/json"}
_JPEG = b"\xff\xd8\xff"
_TOLD_EVERY_S = 0.5
Given = Annotated[Posted, Depends(posted)]


def application(desk: Desk, port: int) -> Application:
    """The desk for the given own port, guarded."""
    app = FastAPI(openapi_url=None, docs_url=None, redoc_url=None, redirect_slashes=False)
    answers = Answers(desk)
    for method, path, answer in answers.routes():
        app.add_api_route(path, answer, methods=[method], response_model=None)
    app.add_exception_handler(HTTPException, answers.http)
    app.add_exception_handler(TooMuch, answers.too_much)
    app.add_exception_handler(500, answers.own_fault)
    return Guard(app, port, answers.fail)


def _told(answer: Callable[..., Response]) -> Callable[..., Response]:
    """The answer, or the page that says why there is none, with the way back to the job that its address names."""

    @wraps(answer)
    def safe(self: "Answers", *given: Any, **named: Any) -> Response:
        try:
            return answer(self, *given, **named)
        except Exception as error:
            what = _status(failing(error))
            return _page(self._show.failed(what, named.get("job", "")), what.status)

    return safe


class Answers:
    """The answers of one desk. Plain functions, which the server runs in threads: working out a job takes seconds."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._links = links()
        self._show, self._actions = Showing(desk, self._links), Actions(desk, self._links)
        self._stretches = Stretches()

    def routes(self) -> tuple[tuple[str, str, Callable[..., Any]], ...]:
        """Every address with its method and what answers it."""
        return (
            ("GET", "/", self.start),
            ("POST", "/jobs/new", self.new),
            ("POST", "/jobs/import", self.take_in),
            ("POST", "/jobs/demo", self.demo),
            ("GET", "/quick", self.quick),
            ("POST", "/quick/keep", self.keep),
            ("GET", "/jobs/{job}/text", self.text),
            ("GET", "/jobs/{job}/job.zip", self.archive),
            ("GET", "/jobs/{job}/papers.zip", self.papers),
            ("GET", "/jobs/{job}/papers/{name}", self.paper),
            ("GET", "/jobs/{job}/preview/{name}", self.preview),
            ("GET", "/jobs/{job}/wiring/{name}", self.wiring),
            ("GET", "/jobs/{job}/{sheet}/ready", self.ready),
            ("GET", "/jobs/{job}/visit/{name}", self.visit),
            ("GET", "/jobs/{job}/photos/{name}", self.photo),
            ("POST", "/jobs/{job}/do/{action}", self.act),
            ("GET", "/jobs/{job}/{sheet}", self.sheet),
            ("GET", "/jobs/{job}/{sheet}/figures/{name}", self.figures),
            ("GET", "/jobs/{job}/{sheet}/drawings/{name}", self.drawing),
            ("GET", "/runs/{run}/events", self.events),
            ("GET", "/assets/{print_}/{name}", self.asset),
        )

    def fail(self, what: Failing, job: HeldJob | None = None) -> HTMLResponse:
        """The page of a failure."""
        headers = {**_FRESH, **({"allow": "GET, POST"} if what.status == 405 else {})}
        return HTMLResponse(rendered(self._show.failing(what, job)), what.status, headers)

    def http(self, request: Request, error: Exception) -> HTMLResponse:
        """The page of an address that is not there, or of a request that cannot be read."""
        status = getattr(error, "status_code", 404)
        if status in (404, 405):
            return self._missing(request.url.path)
        wanted = "a form of the desk as it was made"
        step = "Load the page again and send it anew. Nothing was changed."
        return self.fail(failing_of(422, Fault("desk.form", Place(field=request.url.path), "", wanted, step)))

    def too_much(self, _: Request, error: Exception) -> HTMLResponse:
        """The page of a request that brings too much, or brings it too slowly."""
        return self.fail(error.refused if isinstance(error, TooMuch) else failing(error))

    def own_fault(self, _: Request, error: Exception) -> HTMLResponse:
        """The page of a fault of ours."""
        return self.fail(failing(error))

    @_told
    def start(self) -> Response:
        """The list of jobs."""
        return _page(self._show.start(self._desk.store.jobs()))

    @_told
    def new(self, given: Given) -> Response:
        """A new job, with meter files where some were chosen."""
        refused = foreign(given, self._desk.token)
        if refused is not None:
            return self.fail(refused)
        form = start_forms(self._links)[0]
        fields = typed(form.fields, given.values)
        zone, name = (one.value.strip() for one in fields)
        name = name or next(iter(given.files), words("new.name")).rpartition("/")[2].split(".")[0]
        try:
            id_ = self._desk.new(name[:80], zone, given.files, dt.date.today())
        except JobError as error:
            at = {"site.zone": "zone", "name": "name"}
            named = tuple(replace(one, place=Place(field=at.get(one.place.field, one.place.field))) for one in error.faults)
            shown, left = with_faults(fields, named)
            note = " ".join((words("not-saved"), *([words("files.again")] if given.files else ())))
            tried = Tried(with_fields(form, shown), note, left)
            return _page(self._show.start(self._desk.store.jobs(), tried), 422)
        return _went(self._links.sheet(id_, "meter-files" if given.files else "property"))

    @_told
    def take_in(self, given: Given) -> Response:
        """A job from a zip file."""
        refused = foreign(given, self._desk.token)
        if refused is not None:
            return self.fail(refused)
        form = start_forms(self._links)[1]
        try:
            id_ = taken_in(self._desk.making.bench, next(iter(given.files.values()), b""), self._desk.keep)
        except InputError as error:
            tried = Tried(with_fields(form, ()), words("not-taken-in"), error.faults)
            return _page(self._show.start(self._desk.store.jobs(), tried), 422)
        return _went(self._links.job(id_))

    @_told
    def demo(self, given: Given) -> Response:
        """The invented job."""
        refused = foreign(given, self._desk.token)
        return self.fail(refused) if refused is not None else _went(self._links.job(self._desk.demo()))

    @_told
    def quick(self, request: Request) -> Response:
        """What to use for one load, without a job."""
        page, status = quick_page(self._show.frame(), self._desk.store.jobs(), dict(request.query_params))
        return _page(page, status)

    @_told
    def keep(self, given: Given) -> Response:
        """Keep a load that was asked about in a job."""
        refused = foreign(given, self._desk.token)
        if refused is not None:
            return self.fail(refused)
        kept = keep_load(self._desk, given, self._links)
        if isinstance(kept, str):
            return _went(kept)
        page, status = quick_page(self._show.frame(), self._desk.store.jobs(), given.values, kept.faults)
        return _page(page, max(status, 422))

    @_told
    def sheet(self, job: str, sheet: str, look: str = "") -> Response:
        """A page of a job."""
        if sheet not in SHEETS:
            return self._missing(f"/jobs/{job}/{sheet}")
        try:
            opened = self._desk.job(job)
        except (FileError, JobError) as error:
            what = _status(failing(error))
            return _page(self._show.unopened(what, self._desk.store.head(job)), what.status)
        return HTMLResponse(self._show.sheet_text(opened, sheet, known_look(opened, sheet, look)), 200, _FRESH)

    @_told
    def act(self, job: str, action: str, given: Given) -> Response:
        """A change of a job, or long work begun or stopped."""
        refused = foreign(given, self._desk.token)
        if refused is not None:
            return self.fail(refused)
        if action == "text":
            return self._change_text(job, given)
        done = self._actions.do(job, action, given)
        if done is None:
            return self._missing(f"/jobs/{job}/do/{action}")
        if isinstance(done, Refused):
            return _page(self._show.sheet(self._desk.job(job), done.sheet, done.tried, done.look), done.status)
        return _went(done.address)

    @_told
    def text(self, job: str) -> Response:
        """The job file as text."""
        return _page(self._show.text(self._desk.job(job)))

    def _change_text(self, job: str, given: Posted) -> Response:
        # What is pasted may begin with the mark that some systems put before a text.
        text = given.values.get("text", "").removeprefix("\ufeff").replace("\r\n", "\n")
        opened = self._desk.job(job)
        if given.base != opened.revision.number:
            return _page(self._show.text(opened, text, Tried(None, words("conflict"))), 409)
        try:
            self._desk.change(opened, text, words("cause.text"))
        except InputError as error:
            tried = Tried(None, words("conflict" if is_conflict(error) else "not-saved"), error.faults)
            return _page(self._show.text(self._desk.job(job), text, tried), 409 if is_conflict(error) else 422)
        return _went(self._links.text(job))

    @_told
    def archive(self, job: str) -> Response:
        """The job with its files."""
        head = self._desk.store.head(job)
        return _file(as_zip(self._desk.store, head), "application/zip", f"{slug(self._desk.job(job).spec.name)}.zip")

    @_told
    def paper(self, job: str, name: str) -> Response:
        """A paper as it was built."""
        path = self._desk.job(job).papers / name
        if name not in _MEDIA or not path.is_file():
            return self._missing(f"/jobs/{job}/papers/{name}")
        return _file(path.read_bytes(), _MEDIA[name], name)

    @_told
    def papers(self, job: str) -> Response:
        """All papers that were built, as one zip file."""
        opened, out = self._desk.job(job), io.BytesIO()
        there = [name for name in _MEDIA if (opened.papers / name).is_file()]
        if not there:
            return self._missing(f"/jobs/{job}/papers.zip")
        with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
            for name in there:
                archive.write(opened.papers / name, name)
        return _file(out.getvalue(), "application/zip", f"{slug(opened.spec.name)}-papers.zip")

    @_told
    def preview(self, job: str, name: str) -> Response:
        """A paper as a page, as it would be built now."""
        if name not in PREVIEWS:
            return self._missing(f"/jobs/{job}/preview/{name}")
        opened = self._desk.job(job)
        made = self._desk.making.page(opened, name)
        if made is not None and made.faults:
            return self.fail(_status(failing_of(422, *made.faults)), opened)
        return _page(self._show.preview(opened, name, made))

    @_told
    def visit(self, request: Request, job: str, name: str) -> Response:
        """What is taken along on the visit."""
        opened, address = self._desk.job(job), f"/jobs/{job}/visit/{name}"
        if name == PHONE:
            return _file(phone(opened.spec).encode(), _MEDIA[PAGE], name)
        if name != SURVEY:
            return self._missing(address)
        made = self._kept(opened, "visit", request)
        if made is None:
            return self._not_yet(address)
        if made.faults:
            return self.fail(_status(failing_of(422, *made.faults)), opened)
        return _file(made.pdf, _MEDIA[name], name)

    @_told
    def photo(self, job: str, name: str) -> Response:
        """A photo of a plate; shown as a JPEG picture and as nothing else, wherever the job came from."""
        opened, path = self._desk.job(job), f"photos/{name}"
        kept = opened.revision.files.get(path) if any(path in one.photos for one in opened.spec.loads) else None
        content = b"" if kept is None else self._desk.store.content(kept)
        if not content.startswith(_JPEG):
            return self._missing(f"/jobs/{job}/photos/{name}")
        return Response(content, media_type="image/jpeg", headers=_FRESH)

    @_told
    def wiring(self, request: Request, job: str, name: str) -> Response:
        """A drawing of the equipment as a picture (.svg, .png), or what it shows: a page, or what is joined as a file (.csv)."""
        stem, _, form = name.partition(".")
        opened, address = self._desk.job(job), f"/jobs/{job}/wiring/{name}"
        made = self._kept(opened, "gear", request)
        if made is None:
            return self._not_yet(address)
        one = made.wirings.get(stem)
        if one is None or form not in ("", *_WIRING_FILES):
            return self._missing(address)
        if not form:
            return _page(self._show.wiring(opened, made, stem, one))
        media_type, content = _WIRING_FILES[form]
        return Response(content(one), media_type=media_type, headers=_FRESH)

    @_told
    def figures(self, request: Request, job: str, sheet: str, name: str) -> Response:
        """The figures of a picture, or of a stretch of it: a page, or with .csv a file."""
        id_, _, form = name.partition(".")
        address, opened = f"/jobs/{job}/{sheet}/figures/{name}", self._desk.job(job)
        if sheet not in SHEETS or form not in ("", "csv"):
            return self._missing(address)
        made = self._kept(opened, sheet, request)
        if made is None:
            return self._not_yet(address)
        whole = made.picture(id_)
        shown = None if whole is None else self._stretches.of(whole, dict(request.query_params))
        if id_ not in made.figures or (shown is None and whole is not None):
            return self._missing(address)
        # A stretch whose figures are not its own has those of the whole picture.
        table = made.figures[id_] if shown is None or shown is whole else shown.table or made.figures[id_]
        if form:
            return Response(as_csv(table).encode("utf-8-sig"), media_type="text/csv; charset=utf-8", headers=_FRESH)
        return _page(self._show.figures(opened, sheet, made, id_, table, "" if shown is None else shown.title))

    @_told
    def drawing(self, request: Request, job: str, sheet: str, name: str) -> Response:
        """A picture or a stretch of it: as a file or bare (.png, .svg), or for the page's script to draw or read out (.json)."""
        id_, _, form = name.partition(".")
        address, opened = f"/jobs/{job}/{sheet}/drawings/{name}", self._desk.job(job)
        if sheet not in (*SHEETS, *PREVIEWS) or form not in _PICTURES:
            return self._missing(address)
        made = self._kept(opened, sheet, request, bare=form not in ("svg", "png"))
        if made is None:
            return self._not_yet(address)
        whole = made.picture(id_)
        picture = None if whole is None else self._stretches.of(whole, dict(request.query_params))
        # What the script draws of a whole picture is made with the page.
        content: str | bytes | None = made.drawings.get(name.removesuffix(".json")) if picture is whole else None
        if content is None and picture is not None:
            content = _PICTURES[form](picture)
        if content is None:
            return self._missing(address)
        return Response(content, media_type=_PICTURE_MEDIA[form.rpartition(".")[2]], headers=_FRESH)

    @_told
    def ready(self, job: str, sheet: str, look: str = "") -> Response:
        """Whether a page is made, told when it is: server-sent events."""
        opened = self._desk.job(job)
        if sheet not in (*SHEETS, *PREVIEWS):
            return self._missing(f"/jobs/{job}/{sheet}/ready")

        async def told() -> AsyncIterator[str]:
            yield _event({"words": "", "open": True})
            while not await to_thread.run_sync(self._desk.making.is_made, opened, sheet, look):
                if self._desk.ending.is_set():
                    return
                await anyio.sleep(_TOLD_EVERY_S)
            yield _event({"words": "", "open": False})

        return StreamingResponse(told(), media_type="text/event-stream", headers=_FRESH)

    @_told
    def events(self, run: str) -> Response:
        """How far long work is, told until it ends: server-sent events."""
        store = self._desk.store
        if store.find_run(run) is None:
            return self._missing(f"/runs/{run}/events")

        async def told() -> AsyncIterator[str]:
            last = ""
            while True:
                now = await to_thread.run_sync(store.find_run, run)
                if now is None:
                    return
                view = run_view(now)
                said = json.dumps({"words": view.words, "done": view.done, "total": view.total, "open": view.is_open})
                if said != last:
                    yield f"data: {said}\n\n"
                    last = said
                if not view.is_open or self._desk.ending.is_set():
                    return
                await anyio.sleep(_TOLD_EVERY_S)

        return StreamingResponse(told(), media_type="text/event-stream", headers=_FRESH)

    @_told
    def asset(self, print_: str, name: str) -> Response:
        """A file of the desk itself."""
        found = asset(name, self._links) if print_ == self._links.print_ else None
        if found is None:
            return self._missing(f"/assets/{print_}/{name}")
        return Response(found.content, media_type=found.media_type, headers=_LASTING)

    def _kept(self, job: HeldJob, sheet: str, request: Request, *, bare: bool = False) -> Whole | None:
        """The page that a file belongs to, of the revision that its address names, or of the one that holds.

        None where it is not made in time. A `bare` picture is part of a page, and may be what a page that says it is out of date
        shows. Raises StoreError where the address names another revision than holds.
        """
        asked, look = request.query_params.get("revision", ""), known_look(job, sheet, request.query_params.get("look", ""))
        page = job.pages.get((sheet, look))
        if bare and page is not None and (str(page.revision) == asked or (not asked and page.mark != PAST)):
            return page
        if asked not in ("", str(job.revision.number)):
            raise of_another(asked, job.revision.number)
        return self._desk.making.page(job, sheet, look)

    def _not_yet(self, address: str) -> HTMLResponse:
        answer = self.fail(not_yet(address, words("making.later")))
        answer.headers["retry-after"] = "5"
        return answer

    def _missing(self, address: str) -> HTMLResponse:
        return self.fail(missing(address, words("missing.wanted")))


def _json(value: object) -> bytes:
    return json.dumps(value, separators=(",", ":"), allow_nan=False).encode()


def _live(spec: Mapping[str, Any]) -> bytes:
    return _json(live_drawing(spec))


def _page(page: Page, status: int = 200) -> HTMLResponse:
    return HTMLResponse(rendered(page), status, _FRESH)


def _event(told: dict[str, object]) -> str:
    return f"data: {json.dumps(told)}\n\n"


def _went(address: str) -> Response:
    return RedirectResponse(address, 303, _FRESH)


def _file(content: bytes, media_type: str, name: str) -> Response:
    return Response(content, media_type=media_type, headers={**_FRESH, "content-disposition": f'attachment; filename="{name}"'})


def _status(what: Failing) -> Failing:
    """The failure with the status that its fault asks for: 404 for what is not in the store, 409 for a change that came late."""
    codes = {fault.code for fault in what.faults}
    if "desk.other-revision" in codes:
        return failing_of(410, *what.faults)
    if "store.not-there" in codes:
        return failing_of(404, *what.faults)
    return failing_of(409, *what.faults) if "store.changed-meanwhile" in codes else what

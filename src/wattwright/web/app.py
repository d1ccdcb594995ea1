"""The desk as a web application: each address answered with a page, a file or a page that says what is wrong."""

import json
from collections.abc import Callable
from functools import wraps
from typing import Any

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from wattwright.charts.picture import Picture
from wattwright.charts.render import live_drawing, picture_file
from wattwright.web.assets import asset
from wattwright.web.desk import Desk, Sheet
from wattwright.web.failing import Failing, failing, missing
from wattwright.web.figures import as_csv
from wattwright.web.guard import Application, Guard
from wattwright.web.links import SHEETS, links
from wattwright.web.render import failing_page, figures_page, sheet_page

_FRESH = {"cache-control": "no-store"}
_LASTING = {"cache-control": "private, max-age=31536000, immutable"}


def application(desk: Desk, port: int) -> Application:
    """The desk for the given own port, guarded."""
    app = FastAPI(openapi_url=None, docs_url=None, redoc_url=None, redirect_slashes=False)
    pages = _Pages(desk)
    for path, answer in (
        ("/", pages.start),
        ("/assets/{print_}/{name}", pages.asset),
        ("/{sheet}", pages.sheet),
        ("/{sheet}/figures/{name}", pages.figures),
        ("/{sheet}/drawings/{name}", pages.drawing),
    ):
        app.add_api_route(path, answer, methods=["GET"], response_model=None)
    app.add_exception_handler(404, pages.nothing)
    return Guard(app, port, pages.fail)


def _told(answer: Callable[..., Response]) -> Callable[..., Response]:
    """The answer, or the page that says why there is none."""

    @wraps(answer)
    def safe(self: "_Pages", *given: Any, **named: Any) -> Response:
        try:
            return answer(self, *given, **named)
        except Exception as error:
            return self.fail(failing(error))

    return safe


class _Pages:
    """The answers of one desk. Plain functions, which the server runs in threads: working out a job takes seconds."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._links = links()

    def fail(self, what: Failing) -> HTMLResponse:
        """The page of a failure."""
        stages = self._desk.stages() if what.status not in (400, 405, 500) else ()
        headers = {**_FRESH, **({"allow": "GET"} if what.status == 405 else {})}
        return HTMLResponse(failing_page(what, stages, self._links), what.status, headers)

    def nothing(self, request: Request, _: Exception) -> HTMLResponse:
        """The page of an address that is not there."""
        return self._missing(request.url.path)

    def start(self) -> Response:
        """The first page."""
        return RedirectResponse(self._links.sheet(SHEETS[0]), 307, _FRESH)

    @_told
    def sheet(self, sheet: str) -> Response:
        """A page of the job."""
        if sheet not in SHEETS:
            return self._missing(f"/{sheet}")
        made = self._desk.sheet(sheet)
        return HTMLResponse(sheet_page(made, self._desk.stages(), self._links), headers=_FRESH)

    @_told
    def figures(self, sheet: str, name: str) -> Response:
        """The figures of a picture: a page, or with .csv a file."""
        id_, _, form = name.partition(".")
        made, picture = self._found(sheet, id_)
        if made is None or picture is None or form not in ("", "csv"):
            return self._missing(f"/{sheet}/figures/{name}")
        table = made.figures[id_]
        if form:
            return Response(as_csv(table).encode("utf-8-sig"), media_type="text/csv; charset=utf-8", headers=_FRESH)
        return HTMLResponse(figures_page(made, picture, table, self._desk.stages(), self._links), headers=_FRESH)

    @_told
    def drawing(self, sheet: str, name: str) -> Response:
        """A picture: as a file (.svg), or as the page's script draws it (.wide.json, .narrow.json)."""
        id_, _, form = name.partition(".")
        _, picture = self._found(sheet, id_)
        if picture is not None and form == "svg":
            return Response(picture_file(picture), media_type="image/svg+xml", headers=_FRESH)
        forms = {} if picture is None else {"wide.json": picture.spec, "narrow.json": picture.narrow}
        spec = forms.get(form)
        if spec is None:
            return self._missing(f"/{sheet}/drawings/{name}")
        return Response(json.dumps(live_drawing(spec)), media_type="application/json", headers=_FRESH)

    @_told
    def asset(self, print_: str, name: str) -> Response:
        """A file of the desk itself."""
        found = asset(name, self._links) if print_ == self._links.print_ else None
        if found is None:
            return self._missing(f"/assets/{print_}/{name}")
        return Response(found.content, media_type=found.media_type, headers=_LASTING)

    def _found(self, sheet: str, picture: str) -> tuple[Sheet, Picture | None] | tuple[None, None]:
        if sheet not in SHEETS:
            return None, None
        made = self._desk.sheet(sheet)
        return made, made.picture(picture)

    def _missing(self, address: str) -> HTMLResponse:
        wanted = " or ".join(self._links.sheet(name) for name in SHEETS)
        return self.fail(missing(address, wanted))

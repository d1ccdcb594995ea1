"""What every answer of the desk carries, and which requests are not answered at all."""

import asyncio
from collections.abc import Awaitable, Callable, Iterable, MutableMapping
from typing import Any

from starlette.requests import ClientDisconnect

from wattwright.core.errors import Fault, Place, quoted
from wattwright.web.failing import Failing, failing_of

Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
Application = Callable[[Message, Receive, Send], Awaitable[None]]

MOST_BYTES = 256 * 1024 * 1024
"""Most that a request may bring: a year of seconds of a meter, packed, is below it."""
SLOWEST_S = 20.0
"""How long the next part of a request may stay away."""
WHOLE_S = 600.0
"""How long a whole request may take to arrive: on one machine the most it may bring takes seconds."""
POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "font-src 'self'",
        "img-src 'self'",
        "connect-src 'self'",
        "base-uri 'none'",
        "form-action 'self'",
        "frame-ancestors 'none'",
    )
)
"""Nothing from elsewhere, nothing written into a page runs or styles it, nobody frames it, forms go to the desk alone."""

HEADERS: tuple[tuple[bytes, bytes], ...] = (
    (b"content-security-policy", POLICY.encode()),
    (b"x-content-type-options", b"nosniff"),
    # Within the desk a form must say where it comes from; to anywhere else nothing is said.
    (b"referrer-policy", b"same-origin"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"cross-origin-embedder-policy", b"require-corp"),
    (b"permissions-policy", b"camera=(), microphone=(), geolocation=(), usb=(), serial=()"),
)


class TooMuch(Exception):
    """A request that brings more than the desk takes, or brings it too slowly."""

    def __init__(self, refused: Failing) -> None:
        super().__init__(refused.title)
        self.refused = refused


class Guard:
    """Stands before the desk: own names only, changes from own pages only, bounded bodies, the same headers on every answer.

    A page elsewhere can have a name of its own point to this machine and so read what it shows; the check of the name asked for
    ends that. It can also send a form here; the check of where a form comes from ends that. `fail` makes the page of a refusal.
    """

    def __init__(self, application: Application, port: int, fail: Callable[[Failing], Any]) -> None:
        self._application = application
        self._hosts = (f"127.0.0.1:{port}", f"localhost:{port}")
        self._fail = fail

    async def __call__(self, scope: Message, receive: Receive, send: Send) -> None:
        """Answer one request."""
        began = False

        async def sending(message: Message) -> None:
            nonlocal began
            if message["type"] == "http.response.start":
                began = True
                message["headers"] = [*_without(message.get("headers", ()), HEADERS), *HEADERS]
            await send(message)

        refused = self._refused(scope)
        if refused is not None:
            await self._fail(refused)(scope, receive, sending)
            return
        bounded = receive if scope["method"] == "GET" else _bounded(receive)
        try:
            await self._application(scope, bounded, sending)
        except ClientDisconnect:
            return  # whoever sent it has gone: nobody is there to be answered, and nothing was changed
        except TooMuch as error:
            if began:
                raise
            await self._fail(error.refused)(scope, receive, sending)

    def _refused(self, scope: Message) -> Failing | None:
        asked = _headers(scope, b"host")
        if len(asked) != 1 or asked[0] not in self._hosts:
            return failing_of(400, _wrong_host(", ".join(asked), self._hosts[0]))
        if scope["method"] not in ("GET", "POST"):
            return failing_of(405, _wrong_method(scope["method"]))
        if scope["method"] == "POST":
            came_from = _headers(scope, b"origin")
            if came_from != [f"http://{asked[0]}"]:
                return failing_of(403, _wrong_origin(", ".join(came_from)))
            length = _headers(scope, b"content-length")
            if length and (len(length) > 1 or not length[0].isdigit() or int(length[0]) > MOST_BYTES):
                return _too_large()
        return None


def _bounded(receive: Receive) -> Receive:
    """What is received, counted as it comes and not as it says of itself; neither a part nor the whole is waited for too long."""
    size = 0
    last = asyncio.get_running_loop().time() + WHOLE_S
    whole = False

    async def receiving() -> Message:
        nonlocal size, whole
        if whole:
            return await receive()
        left = last - asyncio.get_running_loop().time()
        try:
            message = await asyncio.wait_for(receive(), min(SLOWEST_S, left))
        except TimeoutError as error:
            raise TooMuch(
                _too_slow(f"nothing for {SLOWEST_S:g} s" if left > SLOWEST_S else f"not the whole of it in {WHOLE_S:g} s")
            ) from error
        size += len(message.get("body", b""))
        whole = not message.get("more_body", False)
        if size > MOST_BYTES:
            raise TooMuch(_too_large())
        return message

    return receiving


def _headers(scope: Message, wanted: bytes) -> list[str]:
    return [value.decode("latin-1") for name, value in scope["headers"] if name == wanted]


def _without(given: Iterable[tuple[bytes, bytes]], ours: Iterable[tuple[bytes, bytes]]) -> list[tuple[bytes, bytes]]:
    names = {name for name, _ in ours}
    return [(name, value) for name, value in given if name.lower() not in names]


def _wrong_host(asked: str, own: str) -> Fault:
    return Fault(
        "desk.host",
        Place(field="the address"),
        found=f"the name {quoted(asked)}" if asked else "no name",
        wanted=f"{own}, or localhost with the same port",
        next_step=f"Open http://{own} on the machine that runs wattwright. The desk is shown nowhere else.",
    )


def _wrong_method(method: str) -> Fault:
    return Fault(
        "desk.method",
        Place(field="the request"),
        found=f"the method {quoted(method)}",
        wanted="GET to see, POST from one of the desk's own forms to change",
        next_step="Go on from the pages of the desk.",
    )


def _wrong_origin(came_from: str) -> Fault:
    return Fault(
        "desk.origin",
        Place(field="the request"),
        found=f"a change asked for by {quoted(came_from)}"
        if came_from
        else "a change asked for by a page that does not say its name",
        wanted="a form of the desk itself",
        next_step="Open the desk and make the change there. Nothing was changed.",
    )


def _too_large() -> Failing:
    fault = Fault(
        "desk.too-large",
        Place(field="what was sent"),
        found=f"more than {MOST_BYTES // 2**20} MB",
        wanted="less",
        next_step="Pack the file with gzip or zip, or take a shorter stretch of readings. Nothing was changed.",
    )
    return failing_of(413, fault)


def _too_slow(found: str) -> Failing:
    fault = Fault(
        "desk.too-slow",
        Place(field="what was sent"),
        found=found,
        wanted="the whole of it",
        next_step="Send it again. Nothing was changed.",
    )
    return failing_of(408, fault)

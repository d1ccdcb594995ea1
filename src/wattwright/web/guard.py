"""What every answer of the desk carries, and which requests are not answered at all."""

from collections.abc import Awaitable, Callable, Iterable, MutableMapping
from typing import Any

from wattwright.core.errors import Fault, Place, quoted
from wattwright.web.failing import Failing, failing_of

Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
Application = Callable[[Message, Receive, Send], Awaitable[None]]

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "font-src 'self'",
        "img-src 'self'",
        "connect-src 'self'",
        "base-uri 'none'",
        "form-action 'none'",
        "frame-ancestors 'none'",
    )
)
"""Nothing from elsewhere, nothing written into a page runs or styles it, nobody frames it."""

HEADERS: tuple[tuple[bytes, bytes], ...] = (
    (b"content-security-policy", POLICY.encode()),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"cross-origin-embedder-policy", b"require-corp"),
    (b"permissions-policy", b"camera=(), microphone=(), geolocation=(), usb=(), serial=()"),
)


class Guard:
    """Stands before the desk: own names only, reading only, and the same headers on every answer.

    A page elsewhere can have a name of its own point to this machine and so read what it shows; the check of the name asked for
    ends that. `fail` makes the page of a refusal.
    """

    def __init__(self, application: Application, port: int, fail: Callable[[Failing], Any]) -> None:
        self._application = application
        self._hosts = (f"127.0.0.1:{port}", f"localhost:{port}")
        self._fail = fail

    async def __call__(self, scope: Message, receive: Receive, send: Send) -> None:
        """Answer one request."""

        async def sending(message: Message) -> None:
            if message["type"] == "http.response.start":
                message["headers"] = [*_without(message.get("headers", ()), HEADERS), *HEADERS]
            await send(message)

        refused = self._refused(scope)
        answer = self._application if refused is None else self._fail(refused)
        await answer(scope, receive, sending)

    def _refused(self, scope: Message) -> Failing | None:
        asked = [value.decode("latin-1") for name, value in scope["headers"] if name == b"host"]
        if len(asked) != 1 or asked[0] not in self._hosts:
            return failing_of(400, _wrong_host(", ".join(asked), self._hosts[0]))
        if scope["method"] != "GET":
            return failing_of(405, _wrong_method(scope["method"]))
        return None


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
        wanted="GET",
        next_step="The desk only shows. Change the job in its job file, then load the page again.",
    )

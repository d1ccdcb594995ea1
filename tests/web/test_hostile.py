"""Requests that mean harm: refused in the desk's own words, nothing changed, nothing told that is not theirs."""

import asyncio
import re
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import anyio
import pytest

from tests.handover.kit import hours
from tests.web.conftest import PORT, Asked
from tests.web.test_answers import plain
from wattwright.web import guard
from wattwright.web.app import Answers, application
from wattwright.web.guard import Guard

OWN = f"http://127.0.0.1:{PORT}"


@pytest.fixture
def ask(tmp_path: Path) -> Asked:
    """A desk with a job."""
    made = Asked(None, tmp_path / "store")
    answer = made.post("/jobs/new", {"zone": "UTC", "name": "Private"}, {"files": ("a.csv", hours([1.0] * 48))})
    made.job = re.search(r"/jobs/(\w+)/", answer.headers["location"])[1]
    return made


@pytest.mark.parametrize(
    "origin",
    ["", "null", "http://evil.example", f"http://127.0.0.1:{PORT + 1}", f"https://127.0.0.1:{PORT}", f"http://127.0.0.1:{PORT}.evil.example",
     f"http://evil.example/{OWN}", "http://localhost:1"],
)  # fmt: skip
@pytest.mark.parametrize("path", ["/do/remove", "/jobs/demo"])
def test_forms_sent_from_elsewhere(ask: Asked, origin: str, path: str) -> None:
    """A form that a page elsewhere sends is refused although it carries everything else that is right."""
    headers = {"origin": origin} if origin else {}
    answer = ask(path, "POST", headers=headers, data={"token": ask.desk.token, "base": "1"})
    assert answer.status_code == 403
    assert "a form of the desk itself" in plain(answer)
    assert len(ask.store.jobs()) == 1


@pytest.mark.parametrize("method", ["GET", "POST"])
@pytest.mark.parametrize(
    "host", ["evil.example", f"evil.example:{PORT}", "127.0.0.1", f"127.0.0.1:{PORT}@evil.example", f"[::1]:{PORT}"]
)
def test_other_names_for_this_machine(ask: Asked, host: str, method: str) -> None:
    """A name that somebody points at this machine shows nothing and changes nothing."""
    answer = ask("/property", method, host=host, headers={"origin": f"http://{host}"})
    assert answer.status_code == 400
    assert "Private" not in answer.text


@pytest.mark.parametrize(
    "path",
    [
        "/jobs/%2e%2e/property", "/jobs/../../etc/passwd", "/papers/..%2f..%2fjob.toml", "/papers/.papers.json",
        "/wiring/..%2fdesk.key", "/assets/0/..%2f..%2fapp.py", "/jobs/x/job.zip", "/preview/..%2freport", "/runs/none/events",
        "/jobs/x/papers.zip", "/wiring/none.svg", "/papers/report.pdf", "/preview/nothing", "/preview/sheets",
    ],
)  # fmt: skip
def test_paths_that_lead_elsewhere(ask: Asked, path: str) -> None:
    """Nothing outside of what the desk gives can be had by any address."""
    answer = ask(path)
    assert answer.status_code == 404
    assert "There is no such page" in plain(answer)


@pytest.mark.parametrize("length", [str(guard.MOST_BYTES + 1), "-1", "x"])
def test_too_much_is_told_before_it_is_read(ask: Asked, length: str) -> None:
    """A body that says it is larger than the desk takes is refused without being read."""
    answer = ask("/jobs/new", "POST", headers={"origin": OWN, "content-length": length}, content=b"x")
    assert answer.status_code == 413
    assert "Nothing was changed" in plain(answer)


def in_a_thread(function, *given):
    """What a coroutine function returns, run where no browser of another test keeps a loop of its own."""
    with ThreadPoolExecutor(1) as thread:
        return thread.submit(anyio.run, function, *given).result()


GONE = b"gone"
"""Stands for a sender that has left."""


async def bodied(application, messages, apart_s: float = 0.0) -> tuple[int, str]:
    """Status and text of the answer to a body that comes in parts; None stands for a part that never comes."""
    headers = {"host": f"127.0.0.1:{PORT}", "origin": OWN, "content-type": "multipart/form-data; boundary=b"}
    scope = {
        "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": "POST", "path": "/jobs/new",
        "raw_path": b"/jobs/new", "query_string": b"", "scheme": "http", "root_path": "", "server": ("127.0.0.1", PORT),
        "client": ("127.0.0.1", 1), "headers": [(name.encode(), value.encode()) for name, value in headers.items()],
    }  # fmt: skip
    parts, sent = iter(messages), []

    async def receive():
        part = next(parts, None)
        if part is None:
            await asyncio.sleep(60)
        if part == GONE:
            return {"type": "http.disconnect"}
        await asyncio.sleep(apart_s)
        return {"type": "http.request", "body": part, "more_body": True}

    async def send(message):
        sent.append(message)

    await application(scope, receive, send)
    return sent[0]["status"], b"".join(one.get("body", b"") for one in sent).decode()


def test_too_much_without_saying_so(ask: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    """A body without a length is counted as it comes and cut off."""
    monkeypatch.setattr(guard, "MOST_BYTES", 5000)
    begins = b'--b\r\nContent-Disposition: form-data; name="files"; filename="a.csv"\r\n\r\n'
    status, text = in_a_thread(bodied, application(ask.desk, PORT), [begins, *([b"x" * 1000] * 10)])
    assert (status, "This is too much" in text) == (413, True)


def test_too_slow(ask: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    """A body of which nothing comes any more is given up."""
    monkeypatch.setattr(guard, "SLOWEST_S", 0.05)
    status, text = in_a_thread(bodied, application(ask.desk, PORT), [b"--b\r\n"])
    assert (status, "did not arrive" in text) == (408, True)


def test_too_slow_on_the_whole(ask: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    """A body of which a little comes again and again is given up too: the whole has its bound."""
    monkeypatch.setattr(guard, "WHOLE_S", 0.2)
    status, text = in_a_thread(bodied, application(ask.desk, PORT), [b"--b\r\n", *([b"x"] * 500)], 0.02)
    assert (status, "not the whole of it in 0.2 s" in text) == (408, True)


def test_a_sender_that_leaves(ask: Asked) -> None:
    """Whoever leaves in the middle of an upload leaves no trace of calls on the terminal, and changes nothing."""
    begins = b'--b\r\nContent-Disposition: form-data; name="files"; filename="a.csv"\r\n\r\n'
    in_a_thread(bodied, application(ask.desk, PORT), [begins, b"1,2", GONE])
    assert len(ask.store.jobs()) == 1


def test_cut_off_when_the_answer_has_begun() -> None:
    """Where an answer is on its way already it is not followed by another one."""

    async def begun(scope, receive, send):
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await receive()

    async def never():
        await asyncio.sleep(60)

    async def heard(message):
        assert message["status"] == 200

    scope = {"headers": [(b"host", f"127.0.0.1:{PORT}".encode()), (b"origin", OWN.encode())], "method": "POST"}

    async def asked() -> None:
        guard.SLOWEST_S, before = 0.05, guard.SLOWEST_S
        try:
            with pytest.raises(Exception, match="did not arrive"):
                await Guard(begun, PORT, lambda _: begun)(scope, never, heard)
        finally:
            guard.SLOWEST_S = before

    in_a_thread(asked)


@pytest.mark.parametrize(
    ("content", "kind"),
    [
        (b"not a form", "multipart/form-data; boundary=b"),
        (b"--b\r\nContent-Disposition: nonsense\r\n\r\nx\r\n--b--", "multipart/form-data; boundary=b"),
        (b"token=%ff&base=1", "application/x-www-form-urlencoded"),
        (b"{}", "application/json"),
        (b"&".join(b"a%d=1" % i for i in range(300)), "application/x-www-form-urlencoded"),
        (b"", "multipart/form-data"),
    ],
)
def test_bodies_that_are_no_form(ask: Asked, content: bytes, kind: str) -> None:
    """What is no form, or one of too many parts, is refused as bad input and never as a fault of ours."""
    answer = ask("/do/remove", "POST", headers={"origin": OWN, "content-type": kind}, content=content)
    assert answer.status_code in (403, 422)
    assert 'class="fault"' in answer.text
    assert len(ask.store.jobs()) == 1


def test_one_shape_of_errors_on_every_address(ask: Asked) -> None:
    """Asked for a job, page, paper or run there is not, every address answers with the one page of failures."""
    for method, path, _ in Answers(ask.desk).routes():
        if "{" not in path:
            continue
        address = re.sub(r"\{\w+\}", "nonsense", path)
        more = {"headers": {"origin": OWN}, "data": {"token": ask.desk.token, "base": "1"}} if method == "POST" else {}
        answer = ask(address, method, **more)
        assert (address, answer.status_code) == (address, 404)
        assert answer.text.count('class="fault"') == 1
        assert all(word in plain(answer) for word in ("Expected", "Do ", "Code"))


@pytest.mark.parametrize("name", ["<script>alert(1)</script>", "=cmd|'/c calc'!A1", '"><img src=x>', "\u202egnp.exe", "a" * 80])
def test_names_are_words_and_nothing_else(ask: Asked, name: str) -> None:
    """What a person calls a job stands in every page as text."""
    assert ask.post("/do/set", {"group": "job", "name": name, "place": name, "client": name}).status_code == 303
    for path in ("/property", "/", "/text", "/handover"):
        text = ask(path).text
        assert "<script>alert" not in text
        assert "<img src=x" not in text

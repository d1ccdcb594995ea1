"""The desk served to browsers on this machine, and to no other."""

import socket
from collections.abc import Callable
from types import FrameType

from wattwright.core.errors import InputError, Place
from wattwright.web.app import application
from wattwright.web.desk import Desk

PORT = 9288
"""The letters of WATT on the keys of a telephone."""
_HERE = "127.0.0.1"


def serve(desk: Desk, port: int, started: Callable[[str], None]) -> None:
    """Serve the desk until the process is told to end; `started` is given the address once it can be opened.

    Port 0 takes any free one. Raises InputError where the port is taken.
    """
    import uvicorn

    class Server(uvicorn.Server):
        """Tells the desk that it is to end, so that pages which wait to be told something are let go."""

        def handle_exit(self, sig: int, frame: FrameType | None) -> None:
            desk.ending.set()
            super().handle_exit(sig, frame)

    with listening(port) as own:
        own_port = own.getsockname()[1]
        config = uvicorn.Config(
            application(desk, own_port),
            log_config=None,
            access_log=False,
            lifespan="off",
            ws="none",
            http="h11",
            proxy_headers=False,
            server_header=False,
            timeout_graceful_shutdown=2,
        )
        started(f"http://{_HERE}:{own_port}/")
        try:
            Server(config).run(sockets=[own])
        except KeyboardInterrupt:
            return  # Control-C is how a person ends it


def listening(port: int) -> socket.socket:
    """A socket that listens on this machine's own address. Raises InputError where the port is taken or may not be used."""
    # Without its protocol named the event loop does not switch off the waiting for more to send, which costs 40 ms an answer.
    own = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    own.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        own.bind((_HERE, port))
        own.listen(64)
    except OSError as error:
        own.close()
        raise InputError.one(
            "desk.port",
            Place(field="--port"),
            found=f"port {port}: {(error.strerror or 'a refusal').lower()}",
            wanted="a port that is free on this machine",
            next_step="Write --port 0 to take any free one, or end what uses it.",
        ) from error
    return own

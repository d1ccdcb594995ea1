"""The database behind the store: opened, its tables brought up, and the few ways in which SQLite and PostgreSQL differ."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sqlalchemy import Connection, Engine, Table, create_engine, event
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.engine import make_url
from sqlalchemy.exc import ArgumentError, NoSuchModuleError, OperationalError

from wattwright.core.errors import Place, StoreError

if TYPE_CHECKING:
    from alembic.config import Config

FILE_NAME = "jobs.sqlite"
_MIGRATIONS = Path(__file__).parent / "migrations"
_WAIT_S = 30
"""How long a writer waits for another one."""
_LATEST = "head"


def sqlite_url(folder: Path) -> str:
    """Return the address of the store's own database in a folder."""
    return f"sqlite:///{(folder / FILE_NAME).absolute()}"


def open_engine(url: str) -> Engine:
    """Return an engine for a database, its tables brought up to the newest. Raises StoreError where it cannot be opened."""
    try:
        engine = create_engine(_with_driver(url))
        if engine.dialect.name == "sqlite":
            _settle_sqlite(engine)
        with engine.connect():
            pass
        migrate(engine)
    except (ArgumentError, NoSuchModuleError, OperationalError) as error:
        raise _not_opened(url, error) from error
    return engine


def migrate(engine: Engine, to: str = _LATEST) -> None:
    """Bring the tables up to a revision of their own, or back to it ("base": none)."""
    from alembic import command

    with writing(engine) as connection:
        config = _config()
        config.attributes["connection"] = connection
        forwards = to == _LATEST
        (command.upgrade if forwards else command.downgrade)(config, to)


@contextmanager
def writing(engine: Engine) -> Iterator[Connection]:
    """Yield a connection in a transaction that may write: all of it holds at the end of the block, or nothing."""
    with engine.begin() as connection:
        yield connection


@contextmanager
def reading(engine: Engine) -> Iterator[Connection]:
    """Yield a connection in a transaction that only reads and hinders no writer."""
    with engine.connect().execution_options(only_reads=True) as connection:
        yield connection


def insert_once(connection: Connection, table: Table, values: Mapping[str, Any]) -> None:
    """Insert a row unless one of its key is there already, also where two writers come at the same time."""
    make: Any = postgresql.insert if connection.dialect.name == "postgresql" else sqlite.insert
    connection.execute(make(table).values(**values).on_conflict_do_nothing())


def _config() -> "Config":
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(_MIGRATIONS).replace("%", "%%"))
    return config


def _with_driver(url: str) -> Any:
    """Return the address with the driver we ship, where none is named."""
    made = make_url(url)
    return made.set(drivername="postgresql+psycopg") if made.drivername in ("postgresql", "postgres") else made


def _settle_sqlite(engine: Engine) -> None:
    """Have SQLite keep what was committed through a power cut, hold references, and take its lock when a writer begins."""

    @event.listens_for(engine, "connect")
    def _connected(own: Any, _: Any) -> None:
        own.isolation_level = None  # the driver begins no transaction of its own
        for pragma in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON", f"busy_timeout={_WAIT_S * 1000}"):
            own.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def _begun(connection: Connection) -> None:
        reads = connection.get_execution_options().get("only_reads", False)
        connection.exec_driver_sql("BEGIN" if reads else "BEGIN IMMEDIATE")


def _not_opened(url: str, error: Exception) -> StoreError:
    first = str(error.orig if isinstance(error, OperationalError) else error).strip().splitlines()[0]
    return StoreError.one(
        "store.not-opened",
        Place(file=_told(url)),
        found=first,
        wanted="a database that can be opened",
        next_step="Check the folder, or the address, user and database of the server.",
    )


def _told(url: str) -> str:
    """Return an address as it may be shown: without its password."""
    try:
        return make_url(url).render_as_string(hide_password=True)
    except ArgumentError:
        return "the store"

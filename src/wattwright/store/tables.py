"""The tables of the store. Times are whole seconds UTC; every constraint has a name, so that a migration can change it."""

from sqlalchemy import (
    BigInteger,
    Column,
    Float,
    ForeignKey,
    ForeignKeyConstraint,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
)

METADATA = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_name)s",
        "uq": "uq_%(table_name)s_%(column_0_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(referred_table_name)s",
        "pk": "pk_%(table_name)s",
    }
)

FILES = Table(
    "files",
    METADATA,
    Column("sha256", String(64), primary_key=True),
    Column("size_bytes", BigInteger, nullable=False),
    Column("content", LargeBinary, nullable=False),
)
"""What files hold, once for each content."""

JOBS = Table(
    "jobs",
    METADATA,
    Column("id", String(16), primary_key=True),
    Column("made_s", BigInteger, nullable=False),
    Column("head", Integer, nullable=False),
    Column("origin", Text, nullable=False),
)
"""A job; ``head`` is the number of the revision that holds now, ``origin`` the folder it was read from, if any."""

REVISIONS = Table(
    "revisions",
    METADATA,
    Column("job", String(16), ForeignKey("jobs.id"), primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("parent", Integer, nullable=True),
    Column("made_s", BigInteger, nullable=False),
    Column("cause", Text, nullable=False),
    Column("text", Text, nullable=False),
)
"""What a job's file said after one change, and which revision was changed."""

REVISION_FILES = Table(
    "revision_files",
    METADATA,
    Column("job", String(16), primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("path", String(200), primary_key=True),
    Column("sha256", String(64), ForeignKey("files.sha256"), nullable=False),
    ForeignKeyConstraint(["job", "number"], ["revisions.job", "revisions.number"]),
)
"""Which files a revision has, each under its path from the job's folder."""

RUNS = Table(
    "runs",
    METADATA,
    Column("id", String(16), primary_key=True),
    Column("job", String(16), ForeignKey("jobs.id"), nullable=False),
    Column("nth", Integer, nullable=False),
    Column("number", Integer, nullable=False),
    Column("kind", String(20), nullable=False),
    Column("asked", Text, nullable=False),
    Column("state", String(20), nullable=False),
    Column("doing", Text, nullable=False),
    Column("done", Float, nullable=False),
    Column("total", Float, nullable=False),
    Column("begun_s", BigInteger, nullable=False),
    Column("ended_s", BigInteger, nullable=True),
    Column("told", Text, nullable=False),
)
"""Long work for a revision: what was asked (JSON), how far it is, and what was told when it ended."""

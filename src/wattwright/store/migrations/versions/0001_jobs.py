"""Jobs, their revisions, files by content, and long work."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None

_JOB = sa.String(16)


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "files",
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("size_bytes", sa.BigInteger, nullable=False),
        sa.Column("content", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("sha256", name="pk_files"),
    )
    op.create_table(
        "jobs",
        sa.Column("id", _JOB, nullable=False),
        sa.Column("made_s", sa.BigInteger, nullable=False),
        sa.Column("head", sa.Integer, nullable=False),
        sa.Column("origin", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_jobs"),
    )
    op.create_table(
        "revisions",
        sa.Column("job", _JOB, nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("parent", sa.Integer, nullable=True),
        sa.Column("made_s", sa.BigInteger, nullable=False),
        sa.Column("cause", sa.Text, nullable=False),
        sa.Column("text", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("job", "number", name="pk_revisions"),
        sa.ForeignKeyConstraint(["job"], ["jobs.id"], name="fk_revisions_jobs"),
    )
    op.create_table(
        "revision_files",
        sa.Column("job", _JOB, nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("path", sa.String(200), nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.PrimaryKeyConstraint("job", "number", "path", name="pk_revision_files"),
        sa.ForeignKeyConstraint(["job", "number"], ["revisions.job", "revisions.number"], name="fk_revision_files_revisions"),
        sa.ForeignKeyConstraint(["sha256"], ["files.sha256"], name="fk_revision_files_files"),
    )
    op.create_table(
        "runs",
        sa.Column("id", _JOB, nullable=False),
        sa.Column("job", _JOB, nullable=False),
        sa.Column("nth", sa.Integer, nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("asked", sa.Text, nullable=False),
        sa.Column("state", sa.String(20), nullable=False),
        sa.Column("doing", sa.Text, nullable=False),
        sa.Column("done", sa.Float, nullable=False),
        sa.Column("total", sa.Float, nullable=False),
        sa.Column("begun_s", sa.BigInteger, nullable=False),
        sa.Column("ended_s", sa.BigInteger, nullable=True),
        sa.Column("told", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_runs"),
        sa.ForeignKeyConstraint(["job"], ["jobs.id"], name="fk_runs_jobs"),
    )


def downgrade() -> None:
    """Take them away."""
    for name in ("runs", "revision_files", "revisions", "jobs", "files"):
        op.drop_table(name)

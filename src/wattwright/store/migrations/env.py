"""What the migrations run in: the connection and its transaction belong to whoever asked for them."""

from alembic import context

from wattwright.store.tables import METADATA

context.configure(connection=context.config.attributes["connection"], target_metadata=METADATA, transactional_ddl=False)
context.run_migrations()

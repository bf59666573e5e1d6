"""Alembic's entry: it runs on the connection, and in the transaction, that the journal hands it."""

from alembic import context

context.configure(connection=context.config.attributes["connection"], transactional_ddl=False)
context.run_migrations()

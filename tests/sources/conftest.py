"""What listening shares with sending: one authority, and names that are never looked up."""

from tests.channels.conftest import authority, hanging_names

__all__ = ["authority", "hanging_names"]

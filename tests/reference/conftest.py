"""Pages for readers and programs from outside."""

from tests.web.conftest import pages

__all__ = ["pages"]

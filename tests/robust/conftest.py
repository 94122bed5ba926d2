"""Commands are run here as they are in the tests of the command line."""

from tests.cli.conftest import demo_archive, home, sgputt

__all__ = ["demo_archive", "home", "sgputt"]

"""Whether this environment is the pinned one, and which parts of it are here."""

from __future__ import annotations

import os
import sys
from importlib.metadata import Distribution

import pytest

from tests.packaging import pins

# Set by ``make test-lowest`` and ``make test-newest``, whose versions are not the pinned ones.
OTHER_VERSIONS = os.environ.get("SGPUTT_VERSIONS")
# What needs what depends on these; the pins are those of the machine that CI runs on.
PINNED_ON = ("linux", (3, 11))
PARTS: list[str | None] = [None, *pins.extras()]


def needed(part: str | None) -> dict[str, Distribution]:
    """Packages that sgputt or an extra needs; an optional extra may be absent, the tools not."""
    try:
        return pins.closure(pins.asked(part))
    except pins.NotInstalledError as exc:
        if part in (None, pins.TOOLS) or os.environ.get("CI") == "true":
            raise
        pytest.skip(f"extra {part}: {exc} is not installed")


def as_pinned() -> None:
    """Skip where versions are meant to be others, or where packages need others."""
    if OTHER_VERSIONS:
        pytest.skip(f"versions: {OTHER_VERSIONS}")
    if (sys.platform, sys.version_info[:2]) != PINNED_ON:
        pytest.skip(f"pinned on {PINNED_ON}")

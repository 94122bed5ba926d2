"""Digests: whether what something was made from is still the same."""

from __future__ import annotations

import hashlib
import json
from functools import cache
from importlib.metadata import version
from pathlib import Path
from typing import Any

from sgputt.reference import reference_path

_COMPILED = (".pyc", ".pyo")


def digest_of(*values: Any) -> str:
    """A digest of plain values."""
    return hashlib.sha256(json.dumps(values, default=str).encode()).hexdigest()


@cache
def program_digest(*more: Path) -> str:
    """The version of sgputt and its source, of which another may work out other figures.

    Parameters
    ----------
    more : Path
        Folders beside the library and its reference data, such as that of the pages.
    """
    whole = hashlib.sha256()
    for root in (Path(__file__).parent, reference_path("drills.toml").parent, *more):
        for file in sorted(root.rglob("*")):
            if file.is_file() and file.suffix not in _COMPILED:
                whole.update(file.relative_to(root).as_posix().encode())
                whole.update(file.read_bytes())
    return f"{version('sgputt')} {whole.hexdigest()[:16]}"

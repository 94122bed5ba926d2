"""Fuzz ``read_scorecard`` guided by coverage: ``make fuzz``, or with libFuzzer's own options.

Needs atheris (``pip install atheris``). What it finds is written to the working folder as
``crash-...``; correct it, and put the file into ``corpus/`` under a name that says what it was.
"""

from __future__ import annotations

import sys
import tempfile
from importlib import import_module
from pathlib import Path
from typing import Any

atheris: Any = import_module("atheris")
with atheris.instrument_imports(include=["sgputt", "openpyxl", "csv", "zipfile"]):
    # These two are loaded late, and would then not be watched.
    import_module("openpyxl")
    import_module("sgputt.scorecard.files")
    from tests.robust.rows import hold_reading

_CORPUS = Path(__file__).parent / "corpus"


def one(data: bytes) -> None:
    """No exception, and no row vanishes."""
    hold_reading(data)


def main() -> None:
    # New inputs go to the first folder, which is thrown away; the corpus stays as it is.
    with tempfile.TemporaryDirectory() as found:
        folders = [found, str(_CORPUS)]
        atheris.Setup([*sys.argv, "-max_len=20000", "-timeout=20", *folders], one)
        atheris.Fuzz()


if __name__ == "__main__":
    main()

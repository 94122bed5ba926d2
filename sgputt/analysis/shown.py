"""How an analysis shows itself in a notebook.

Pages and charts lie in the package of reports, which stands above this one and which nothing here
rests on: it is looked up by name when somebody asks to see something.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

from sgputt.errors import SgputtError

_DRAWN_BY = "sgputt_reports.notebook"


def drawing() -> Any:
    """The module that draws for notebooks.

    Raises
    ------
    SgputtError
        It is not installed.
    """
    try:
        return import_module(_DRAWN_BY)
    except ModuleNotFoundError as exc:
        raise SgputtError(
            f"Charts need {exc.name}, which is not installed.",
            "Install sgputt whole: pip install .",
        ) from None

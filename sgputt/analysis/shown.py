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


class Shown:
    """What every analysis shows of itself in a notebook; drawn where the pages are installed."""

    @property
    def chart_names(self) -> tuple[str, ...]:
        """Charts that there is something to draw in, for :meth:`chart`."""
        names: tuple[str, ...] = drawing().names(self)
        return names

    def chart(self, name: str) -> Any:
        """One of the charts of the pages, as an Altair chart, to be shown or changed.

        Parameters
        ----------
        name : str
            One of :attr:`chart_names`.

        Raises
        ------
        SgputtError
            There is no such chart, or nothing to draw in it.
        """
        return drawing().chart(self, name)

    def _repr_html_(self) -> str:
        """What a notebook shows of it."""
        shown: str = drawing().html(self)
        return shown

"""Errors a user can put right. Each says what, where, what stood there and what to type next."""

from __future__ import annotations


class SgputtError(Exception):
    """A mistake the user can correct; commands print it without a traceback.

    Parameters
    ----------
    what : str
        What went wrong, with the value that caused it.
    hint : str
        What to do or type next; may be empty.

    Examples
    --------
    >>> import sgputt
    >>> try:
    ...     sgputt.get_baseline("seniors")
    ... except sgputt.SgputtError as error:
    ...     print(error.what)
    There is no baseline 'seniors' in the reference data.
    """

    def __init__(self, what: str, hint: str = "") -> None:
        self.what = what
        self.hint = hint
        super().__init__(f"{what}\n  {hint}" if hint else what)


class LengthError(SgputtError):
    """A length that cannot be read, or lies outside what is allowed."""


class RangeError(SgputtError):
    """A distance outside the range of a baseline."""


class ReferenceDataError(SgputtError):
    """A file of reference data is missing or cannot be read."""


class TableError(SgputtError):
    """A putts table without a needed column, or with a value of the wrong kind."""


class ArchiveError(SgputtError):
    """The archive cannot be opened, read or written."""


class TooFewError(SgputtError):
    """There is too little data for the figure asked for."""

"""Offline pages of what sgputt found."""

from sgputt_reports.docstrings import keep_docstrings

# It cannot be imported without its own docstrings.
keep_docstrings("altair")

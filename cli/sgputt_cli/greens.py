"""What ``putt`` and ``course`` ask for: a green, and whose stroke."""

from __future__ import annotations

import click

from sgputt.errors import ArchiveError, TooFewError
from sgputt.putts.values import CellError, read_grade
from sgputt.stroke.fitting import FEWEST_PUTTS, fit_putting_stroke
from sgputt.stroke.player import TOUR_STROKE, PuttingStroke
from sgputt_cli.lengths import read_length
from sgputt_cli.shared import Shared

NO_PLAYER = "a tour player"


def read_stimp(text: str) -> float:
    """A green speed in feet, of what was typed behind ``--stimp``."""
    return read_length(text, "ft", "--stimp: ")


def read_past(text: str, unit: str) -> float:
    """A pace in feet past the hole, of what was typed behind ``--past``; 0 dies in the hole."""
    nothing = "0" in text and not any(digit in text for digit in "123456789-")
    return 0.0 if nothing else read_length(text, unit, "--past: ")


def read_slope(text: str) -> float:
    """A grade as rise over run, of what was typed behind ``--grade``."""
    hint = "Write per cent, such as 2% or 2, or rise over run, such as 0.02."
    try:
        return read_grade(text.strip(), "a slope of 0 to 15 %", hint)
    except CellError as exc:
        what = "" if exc.what else f"'{text}' is not "
        raise click.UsageError(f"--grade: {what}{exc}. {exc.hint}") from exc


def own_stroke(shared: Shared) -> tuple[str, PuttingStroke, str]:
    """A player's name, fitted stroke, and where it comes from; the tour's without any round."""
    try:
        with shared.open_archive() as archive:
            player = shared.one_player(archive)
            putts = archive.putts(player)
    except (ArchiveError, TooFewError):
        if shared.player is not None:
            raise
        return NO_PLAYER, TOUR_STROKE, "no rounds stored: the tour's stroke"
    fit = fit_putting_stroke(putts, any_number=True)
    few = "; few, so it leans on the tour's" if fit.putts < FEWEST_PUTTS else ""
    return player, fit.stroke, f"your stroke, from {fit.putts} putts{few}"

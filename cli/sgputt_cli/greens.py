"""What ``putt`` and ``course`` ask for: lengths, a green, and whose stroke."""

from __future__ import annotations

from collections.abc import Sequence

import click

from sgputt.errors import ArchiveError, LengthError, TooFewError
from sgputt.putts.units import FEET_PER_METRE, format_length, parse_length
from sgputt.putts.values import CellError, read_grade
from sgputt.stroke.fitting import FEWEST_PUTTS, fit_putting_stroke
from sgputt.stroke.player import TOUR_STROKE, PuttingStroke
from sgputt.wording import number
from sgputt_cli.shared import Shared

NO_PLAYER = "a tour player"
_CM_PER_INCH = 2.54


def read_lengths(words: Sequence[str], unit: str) -> list[float]:
    """Lengths in feet, whole again where the shell split ``8 ft`` in two."""
    joined: list[str] = []
    for word in words:
        if joined and word[:1].isalpha():
            joined[-1] += f" {word}"
        else:
            joined.append(word)
    return [_length(text, unit) for text in joined]


def read_stimp(text: str) -> float:
    """A green speed in feet, of what was typed behind ``--stimp``."""
    return _length(text, "ft", "--stimp: ")


def read_past(text: str, unit: str) -> float:
    """A pace in feet past the hole, of what was typed behind ``--past``; 0 dies in the hole."""
    bare = text.strip().rstrip("'").removesuffix("ft").strip()
    return 0.0 if bare in ("0", "0.0") else _length(text, unit, "--past: ")


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


class Shown:
    """Lengths in the unit that the user chose to see.

    Parameters
    ----------
    metres : bool
        Metres and centimetres instead of feet and inches.
    """

    def __init__(self, metres: bool) -> None:
        self.metres = metres

    def length(self, feet: float) -> str:
        """A length with its unit."""
        return format_length(feet, "m" if self.metres else "ft")

    def amount(self, feet: float) -> str:
        """A short length to a tenth of a foot or to 5 cm, without a sign."""
        if self.metres:
            return f"{round(20 * abs(feet) / FEET_PER_METRE) / 20:.2f} m"
        return f"{abs(feet):.1f} ft"

    def small(self, inches: float) -> str:
        """A break, in inches or centimetres."""
        if self.metres:
            return f"{number(_CM_PER_INCH * inches, 0)} cm"
        return f"{number(inches)} in"


def _length(text: str, unit: str, option: str = "") -> float:
    try:
        return parse_length(text, unit)
    except LengthError as exc:
        raise click.UsageError(f"{option}{exc}") from exc

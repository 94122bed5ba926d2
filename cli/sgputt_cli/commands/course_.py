"""``sgputt course``."""

from __future__ import annotations

from pathlib import Path

import click

from sgputt_cli.shared import Shared, takes_shared


@click.command("course")
@click.option("--stimp", default="10", help="Green speed, feet (10).")
@click.option("--grade", default="2.5%", help="Typical slope: 2.5%, or 0.025 (2.5%).")
@click.option("--out", type=click.Path(dir_okay=False, path_type=Path), help="HTML page to write.")
@takes_shared("archive", "player", "json")
def command(shared: Shared, stimp: str, grade: str, out: Path | None) -> None:
    """Prepare a course: what its green speed and slopes mean.

    What leaving the approach beside or above the hole costs, how far past the
    hole to aim, what charging and dying it in cost, and from where to stop trying
    to hole it. A model of your own stroke; for use before or after the round.

    \b
    Examples:
      sgputt course --stimp 11 --grade 2%
      sgputt course --stimp 11 --out course.html
    """
    from sgputt_cli.course import write_course

    write_course(shared, stimp, grade, out)

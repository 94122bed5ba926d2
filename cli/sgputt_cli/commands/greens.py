"""Greens and baselines: a putt on a slope, a course, what others need from a length."""

from __future__ import annotations

from pathlib import Path

import click

from sgputt_cli.options import PAGES, NamedForm, Shared, takes_shared


@click.command("course")
@click.option("--stimp", default="10", help="Green speed, feet (10).")
@click.option("--grade", default="2.5%", help="Typical slope: 2.5%, or 0.025 (2.5%).")
@click.option("--out", type=NamedForm(*PAGES), help="HTML page to write.")
@takes_shared("archive", "player", "json")
def course(shared: Shared, stimp: str, grade: str, out: Path | None) -> None:
    """Prepare a course: what its green speed and slopes mean.

    What leaving the approach beside or above the hole costs, how far past the
    hole to aim, what charging and dying it in cost, and from where to stop trying
    to hole it. A model of your own stroke; for use before or after the round.

    \b
    Examples:
      sgputt course --stimp 11 --grade 2%
      sgputt course --stimp 11 --out course.html
    """
    from sgputt_cli.greens import write_course

    write_course(shared, stimp, grade, out)


@click.command("putt")
@click.argument("lengths", nargs=-1, required=True, metavar="LENGTH...")
@click.option("--stimp", default="10", help="Green speed, feet (10).")
@click.option("--grade", default="2%", help="Slope of the green: 2%, or 0.02 (2%).")
@click.option("--past", help="How far past the hole to roll it (as you usually do).")
@click.option("--unit", help="Unit of a bare number: ft, m, paces ... (as set, else ft)")
@takes_shared("archive", "player", "json")
def putt(
    shared: Shared,
    lengths: tuple[str, ...],
    stimp: str,
    grade: str,
    past: str | None,
    unit: str | None,
) -> None:
    """Show how a putt behaves on a slope, to set up practice.

    From straight above the hole round to straight below: how much it breaks, how
    hard to hit it, the best pace, and how often you and the tour hole it. A
    model; for practice, and before or after the round.

    \b
    Examples:
      sgputt putt 10
      sgputt putt 6 20 --stimp 11 --grade 3% --past 1
    """
    from sgputt_cli.greens import write_putts

    write_putts(shared, lengths, stimp, grade, past, unit)


@click.command("expect")
@click.argument("lengths", nargs=-1, required=True, metavar="LENGTH...")
@click.option("--unit", help="Unit of a bare number: ft, m, paces ... (as set, else ft)")
@takes_shared("baseline", "json")
def expect(shared: Shared, lengths: tuple[str, ...], unit: str | None) -> None:
    """Show expected putts and the one-putt share from a length.

    \b
    Example:
      sgputt expect 8ft 3.7m "12'6\\""
    """
    from sgputt_cli.baselines import write_expected

    write_expected(shared, lengths, unit)


@click.command("baselines")
@click.argument("name", required=False)
@click.option("--out", type=NamedForm(".csv"), help="CSV file for one NAME.")
@takes_shared("archive", "player", "json")
def baselines(shared: Shared, name: str | None, out: Path | None) -> None:
    """List whom you can be compared with, or show the table of one.

    own and squad are fitted to the stored rounds, and shrunk toward the tour
    where putts are few.

    \b
    Examples:
      sgputt baselines
      sgputt baselines club
      sgputt baselines "tour 1988" --out tour-1988.csv
    """
    from sgputt_cli.baselines import write_baselines

    write_baselines(shared, name, out)

"""``sgputt baselines``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from sgputt_cli.shared import Shared, takes_shared

if TYPE_CHECKING:
    from sgputt.baseline.curve import Baseline


@click.command("baselines")
@click.argument("name", required=False)
@click.option(
    "--out", type=click.Path(dir_okay=False, path_type=Path), help="CSV file for one NAME."
)
@takes_shared("archive", "player", "json")
def command(shared: Shared, name: str | None, out: Path | None) -> None:
    """List whom you can be compared with, or show the table of one.

    own and squad are fitted to the stored rounds, and shrunk toward the tour
    where putts are few.

    \b
    Examples:
      sgputt baselines
      sgputt baselines club
      sgputt baselines "tour 1988" --out tour-1988.csv
    """
    from sgputt_cli.output import write_file, write_json

    if name is None:
        found = _all(shared)
        if shared.as_json:
            write_json([_facts(each) for each in found])
        else:
            _list(found)
        return
    baseline = Shared(shared.archive, shared.player, name).get_baseline()
    if out is not None:
        write_file(out, baseline.table.write_csv(), quiet=shared.as_json)
    if shared.as_json:
        write_json({**_facts(baseline), "table": baseline.table.to_dicts()})
    elif out is None:
        _show(baseline)


def _all(shared: Shared) -> list[Baseline]:
    """Public baselines, and the fitted ones where there are rounds to fit them to."""
    from sgputt.baseline.catalogue import FITTED, PUBLIC, get_baseline
    from sgputt.errors import SgputtError
    from sgputt_cli.output import write_line

    found = [get_baseline(each) for each in PUBLIC]
    for each in FITTED:
        try:
            found.append(Shared(shared.archive, shared.player, each).get_baseline())
        except (SgputtError, click.UsageError) as exc:
            reason = str(exc).splitlines()[0]
            write_line(f"Note: no baseline '{each}': {reason}", err=True)
    return found


def _facts(baseline: Baseline) -> dict[str, object]:
    return {
        "name": baseline.name,
        "title": baseline.title,
        "source": baseline.source,
        "era": baseline.era,
        "limits": baseline.limits,
        "approximate": baseline.approximate,
        "low_ft": float(baseline.table["distance_ft"][0]),
        "high_ft": float(baseline.table["distance_ft"][-1]),
    }


def _list(found: list[Baseline]) -> None:
    from sgputt_cli.output import named, say

    for baseline in found:
        say(f"{named(baseline)}: {baseline.title}, {baseline.era}. 0.5 to 100 ft.")
        say(f"    From {baseline.source}. Limits: {baseline.limits}.")


def _show(baseline: Baseline) -> None:
    import numpy as np

    from sgputt_cli.output import say, table

    feet = np.array([2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 15, 20, 25, 30, 40, 50, 60, 80, 100.0])
    columns = (feet, baseline.expected_putts(feet), baseline.one_putt(feet))
    table(
        f"{baseline.title} ({baseline.era})",
        ["length", "expected putts", "one putt", "three putts or more"],
        [
            (f"{ft:g} ft", f"{putts:.2f}", f"{one:.1%}", f"{three:.1%}")
            for ft, putts, one, three in zip(*columns, baseline.three_putt(feet), strict=True)
        ],
    )
    say(f"From {baseline.source}. Limits: {baseline.limits}.")

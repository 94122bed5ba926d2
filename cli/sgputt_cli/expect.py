"""Expected putts from a length, at the terminal."""

from __future__ import annotations

from collections.abc import Sequence

import click
import numpy as np

from sgputt.errors import RangeError
from sgputt_cli.lengths import read_lengths
from sgputt_cli.output import say_lengths_in, table, write_json
from sgputt_cli.shared import Shared


def write_expected(shared: Shared, words: Sequence[str], unit: str | None) -> None:
    """Print expected putts and one-putt shares, or write them as JSON."""
    settings = shared.settings()
    baseline = shared.get_baseline()
    feet = np.array(read_lengths(words, unit or settings.unit or "ft"))
    try:
        expected, one_putt = baseline.expected_putts(feet), baseline.one_putt(feet)
    except RangeError as exc:
        raise click.UsageError(str(exc)) from exc
    rows = [
        {
            "distance_ft": round(float(distance), 4),
            "expected_putts": float(putts),
            "one_putt": float(share),
            "slope": None,
            "baseline": baseline.name,
        }
        for distance, putts, share in zip(feet, expected, one_putt, strict=True)
    ]
    if shared.as_json:
        write_json(rows)
        return
    say_lengths_in(settings.shown_in)
    table(
        baseline.title,
        ["length", "expected putts", "holed with one putt"],
        [
            (
                f"{row['distance_ft']:.4g} ft",
                f"{row['expected_putts']:.2f}",
                f"{row['one_putt']:.1%}",
            )
            for row in rows
        ],
    )

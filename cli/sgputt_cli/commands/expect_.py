"""``sgputt expect``."""

from __future__ import annotations

import click

from sgputt_cli.shared import Shared, takes_shared


@click.command("expect")
@click.argument("lengths", nargs=-1, required=True, metavar="LENGTH...")
@click.option("--unit", default="ft", help="Unit of a bare number: ft, m, paces ... (ft)")
@takes_shared("baseline", "json")
def command(shared: Shared, lengths: tuple[str, ...], unit: str) -> None:
    """Show expected putts and the one-putt share from a length.

    \b
    Example:
      sgputt expect 8ft 3.7m "12'6\\""
    """
    import numpy as np

    from sgputt.errors import LengthError, RangeError
    from sgputt.putts.units import parse_length
    from sgputt_cli.output import table, write_json

    baseline = shared.get_baseline()
    try:
        feet = np.array([parse_length(text, unit) for text in _joined(lengths)])
        expected, one_putt = baseline.expected_putts(feet), baseline.one_putt(feet)
    except (LengthError, RangeError) as exc:
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


def _joined(words: tuple[str, ...]) -> list[str]:
    """Lengths again whole where the shell split ``8 ft`` in two."""
    lengths: list[str] = []
    for word in words:
        if lengths and word[:1].isalpha():
            lengths[-1] += f" {word}"
        else:
            lengths.append(word)
    return lengths

"""Baselines: the one asked for, what others need from a length, and the tables."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import click
import numpy as np

from sgputt.baseline.catalogue import (
    FITTED,
    PUBLIC,
    baseline_names,
    fitted_baseline,
    get_baseline,
)
from sgputt.baseline.curve import Baseline
from sgputt.errors import LengthError, RangeError, SgputtError
from sgputt.putts.units import parse_length
from sgputt_cli.options import Shared
from sgputt_cli.output import (
    baseline_words,
    say,
    say_lengths_in,
    table,
    write_file,
    write_json,
    write_line,
)
from sgputt_cli.stored import one_player, open_archive, settings_of


def chosen_baseline(shared: Shared) -> Baseline:
    """The baseline asked for; a wrong name is wrong use, ``own`` and ``squad`` need putts."""
    name = shared.baseline or "tour"
    if name not in baseline_names():
        raise click.UsageError(
            f"There is no baseline '{name}'. Choose one of: {', '.join(baseline_names())}."
        )
    if name not in FITTED:
        return get_baseline(name)
    with open_archive(shared) as archive:
        player = one_player(shared, archive) if name == "own" else None
        return fitted_baseline(name, archive.putts(player))


def write_baselines(shared: Shared, name: str | None, out: Path | None) -> None:
    """Print whom one can be compared with, or the table of one; or write it as JSON or CSV."""
    if name is None:
        found = _all(shared)
        if shared.as_json:
            write_json([_facts(each) for each in found])
            return
        for each in found:
            say(f"{baseline_words(each)}: {each.title}, {each.era}. 0.5 to 100 ft.")
            say(f"    From {each.source}. Limits: {each.limits}.")
        return
    baseline = chosen_baseline(replace(shared, baseline=name))
    if out is not None:
        write_file(out, baseline.table.write_csv(), quiet=shared.as_json)
    if shared.as_json:
        write_json({**_facts(baseline), "table": baseline.table.to_dicts()})
    elif out is None:
        _show(baseline)


def _all(shared: Shared) -> list[Baseline]:
    """Public baselines, and the fitted ones where there are rounds to fit them to."""
    found = [get_baseline(each) for each in PUBLIC]
    for each in FITTED:
        try:
            found.append(chosen_baseline(replace(shared, baseline=each)))
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


def _show(baseline: Baseline) -> None:
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


def write_expected(shared: Shared, words: Sequence[str], unit: str | None) -> None:
    """Print expected putts and one-putt shares, or write them as JSON."""
    settings = settings_of(shared)
    baseline = chosen_baseline(shared)
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


def read_lengths(words: Sequence[str], unit: str) -> list[float]:
    """Lengths in feet, whole again where the shell split ``8 ft`` in two."""
    joined: list[str] = []
    for word in words:
        if joined and word[:1].isalpha():
            joined[-1] += f" {word}"
        else:
            joined.append(word)
    return [read_length(text, unit) for text in joined]


def read_length(text: str, unit: str, option: str = "") -> float:
    """One length in feet; what is wrong with it is said with the ``option`` it stands behind."""
    try:
        return parse_length(text, unit)
    except LengthError as exc:
        raise click.UsageError(f"{option}{exc}") from exc

"""Lengths as they are typed behind a command."""

from __future__ import annotations

from collections.abc import Sequence

import click

from sgputt.errors import LengthError
from sgputt.putts.units import parse_length


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

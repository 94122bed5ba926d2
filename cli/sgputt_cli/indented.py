"""Paragraphs that belong under a heading."""

from __future__ import annotations

import textwrap

import click

from sgputt.safe_text import printable
from sgputt_cli.output import WIDTH


def say_under(text: str, indent: int = 2) -> None:
    """Print one paragraph, wrapped, all its lines indented."""
    room = " " * indent
    click.echo(
        textwrap.fill(printable(text), WIDTH - 2, initial_indent=room, subsequent_indent=room)
    )

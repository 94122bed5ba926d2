"""``sgputt check``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from sgputt_cli.reading import card_options, say_problems, to_options
from sgputt_cli.shared import Shared, takes_shared

if TYPE_CHECKING:
    from sgputt.scorecard import CardOptions, Reading


def _read(shared: Shared, files: tuple[Path, ...], options: CardOptions) -> list[Reading]:
    """Read as import would, with the settings of the archive where there is one."""
    from sgputt.scorecard import read_scorecard
    from sgputt_cli.shared import default_archive

    if not (shared.archive or default_archive()).exists():
        return [read_scorecard(path, options=options) for path in files]
    from sgputt.intake import with_settings

    with shared.open_archive() as archive:
        usual = with_settings(options, archive)
        return [read_scorecard(path, options=usual) for path in files]


@click.command("check")
@click.argument(
    "files",
    nargs=-1,
    required=True,
    type=click.Path(path_type=Path, readable=False),
    metavar="FILE...",
)
@card_options
@takes_shared("archive", "player", "json")
def command(shared: Shared, files: tuple[Path, ...], **values: Any) -> None:
    """Read scorecards and report every problem and question; store nothing.

    A question is about what can be read in two ways, or can hardly be true:
    each says by what option, or on the card by what words, it is settled.

    \b
    Example:
      sgputt check round.csv
    """
    from sgputt.scorecard.files import name_of
    from sgputt_cli.output import plural, say, write_json

    options = to_options(shared.player, values)
    readings = _read(shared, files, options)
    rounds = [
        {
            "file": name_of(path),
            "player": one.player,
            "date": str(one.date),
            "round": one.round,
            "course": one.course,
            "holes": one.holes.height,
            "putts": one.putts.height,
        }
        for path, reading in zip(files, readings, strict=True)
        for one in reading.rounds
    ]
    problems = [problem for reading in readings for problem in reading.problems]
    notes = [note for reading in readings for note in reading.notes]
    if shared.as_json:
        found = [problem.as_dict() for problem in problems]
        write_json({"rounds": rounds, "problems": found, "notes": notes})
    else:
        say_problems(problems, notes)
        for one in rounds:
            file = " ".join(str(one["file"]).split())
            say(
                f"{file}: {one['player']}, {one['date']}, {one['course']}, round "
                f"{one['round']}: {one['holes']} holes and {one['putts']} putts read"
            )
        asked = sum(problem.question for problem in problems)
        told = [
            plural(count, word)
            for count, word in ((len(problems) - asked, "problem"), (asked, "question"))
            if count
        ]
        say(f"{' and '.join(told)}." if told else "No problems.")
    raise click.exceptions.Exit(1 if problems else 0)

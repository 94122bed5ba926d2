"""The command line: finds commands by name and turns errors into messages.

Nothing heavy is imported here, so that ``sgputt -h`` answers as fast as click itself.
"""

from __future__ import annotations

import ast
import gc
import inspect
import os
import sys
from importlib import import_module
from typing import Any

import click

from sgputt.errors import SgputtError
from sgputt_cli.options import Shared, shared_options
from sgputt_cli.streams import accept_any_text

# Many small matrices: threads of the linear algebra library would wait for one another. Set before
# it is loaded; who wants otherwise says so.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

# The module of commands/ that holds each, and its summary: said here, so that the list of commands
# is written without loading any.
COMMANDS = {
    "demo": ("seasons", "Import an invented season, write its page, print the next drill."),
    "card": ("cards", "Write a blank scorecard: CSV, a page, or paper."),
    "check": ("cards", "Read scorecards and report every problem; store nothing."),
    "import": ("cards", "Store scorecards (CSV or .xlsx), practice logs, whole folders."),
    "rounds": ("archive", "List the stored rounds, in the order played."),
    "remove": ("archive", "Take rounds out of the archive."),
    "round": ("seasons", "Show one round, hole by hole; the latest without an ID."),
    "season": ("seasons", "Summarise the rounds of a year, or all, or the latest."),
    "practice": ("practice", "Decide which drill to do next, or plan whole sessions."),
    "drills": ("practice", "List the drills, show one, or log what you practised."),
    "stroke": ("seasons", "Show read, direction and pace, habits, and what better is worth."),
    "compare": ("seasons", "Compare two sets of rounds: luck, or more?"),
    "squad": ("seasons", "Sum up all players: who loses where, which drills serve several."),
    "course": ("greens", "Prepare a course: what its green speed and slopes mean for you."),
    "putt": ("greens", "Show how a putt behaves on a slope, to set up practice."),
    "expect": ("greens", "Show expected putts and the one-putt share from a length."),
    "baselines": ("greens", "List whom you can be compared with, or the table of one."),
    "pages": ("exports", "Write every page into a folder, linked; again, what changed."),
    "export": ("exports", "Write putts, rounds, a season, practice or charts to files."),
    "bulk": ("exports", "Sum up many players and seasons from Parquet putts."),
    "settings": ("archive", "Show or change your name, units and hand, kept in the archive."),
    "backup": ("archive", "Copy the archive, as it stands, to a new file."),
    "restore": ("archive", "Go back to a backup, or save what a damaged archive still tells."),
}
# Not a docstring, which python -OO would leave out.
_ABOUT = """Find where putts cost you strokes, and which drill to do next.

Type the putts of a round into a scorecard (see: sgputt card), store it with
import, then ask practice what to work on.
"""
_DATA_PROBLEM = 1
_OBJECTS_BEFORE_A_LOOK = 200_000


def _loaded(name: str) -> click.Command:
    """A command, with its help even where Python leaves docstrings out (-OO)."""
    module = import_module(f"sgputt_cli.commands.{COMMANDS[name][0]}")
    found = [each for each in vars(module).values() if isinstance(each, click.Command)]
    if found[0].help is None:
        functions = ast.parse(inspect.getsource(module)).body
        help_of = {
            each.name: ast.get_docstring(each)
            for each in functions
            if isinstance(each, ast.FunctionDef)
        }
        for each in found:
            each.help = help_of[getattr(each.callback, "__name__", "")]
    return next(each for each in found if each.name == name)


class _Group(click.Group):
    """Commands in the order of the work; the module of one is loaded when it is asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, summary) for name, (_, summary) in COMMANDS.items()])

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        return _loaded(cmd_name) if cmd_name in COMMANDS else None

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            import difflib

            near = difflib.get_close_matches(args[0], COMMANDS, n=1)
            hint = f"Did you mean '{near[0]}'?" if near else f"Commands: {', '.join(COMMANDS)}."
            ctx.fail(f"There is no command '{args[0]}'. {hint}")
        return super().resolve_command(ctx, args)


@click.group(
    cls=_Group,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80},
    epilog="Start with: sgputt demo",
    help=_ABOUT,
)
@click.version_option(package_name="sgputt")
@shared_options("archive", "player", "baseline", "json")
@click.pass_context
def cli(ctx: click.Context, /, **options: Any) -> None:
    """Hand the shared options on to the command."""
    ctx.obj = Shared(**options)


def _indented(text: str) -> str:
    """A message whose further lines cannot pass for messages of their own."""
    from sgputt.safe_text import printable

    first, *others = printable(text).split("\n")
    return "\n".join([first, *(f"  {line.removeprefix('  ')}" for line in others)])


def run() -> None:
    """Run the command line; a user's mistake ends in a message and an exit status, no traceback."""
    # Loading makes many objects and hardly any rubbish to look for.
    gc.set_threshold(_OBJECTS_BEFORE_A_LOOK)
    accept_any_text()
    try:
        status = cli.main(standalone_mode=False, prog_name="sgputt")
    except click.ClickException as exc:
        vars(exc)["message"] = _indented(exc.message)
        exc.show()
        sys.exit(exc.exit_code)
    except (click.Abort, KeyboardInterrupt):
        click.echo("Stopped.", err=True)
        sys.exit(130)
    except SgputtError as exc:
        click.echo(_indented(f"Error: {exc}"), err=True)
        sys.exit(_DATA_PROBLEM)
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(0)
    except SystemExit as exc:
        # Click and Rich end with 1 where the reader at the other end has gone: no mistake.
        gone = type(sys.stdout).__name__.endswith("PacifyFlushWrapper")
        if gone or isinstance(exc.__context__, BrokenPipeError):
            sys.exit(0)
        raise
    except OSError as exc:
        where = f"{exc.filename}: " if exc.filename else ""
        click.echo(_indented(f"Error: {where}{exc.strerror or exc}."), err=True)
        sys.exit(_DATA_PROBLEM)
    sys.exit(status if isinstance(status, int) else 0)

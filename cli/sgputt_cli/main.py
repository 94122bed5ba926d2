"""The command line: finds commands by name and turns errors into messages.

Nothing heavy is imported here, so that ``sgputt -h`` answers as fast as click itself.
"""

from __future__ import annotations

import gc
import os
import sys
from importlib import import_module
from typing import Any

import click

from sgputt_cli.shared import Shared, shared_options
from sgputt_cli.streams import make_fit

# Many small matrices: threads of the linear algebra library would wait for one another. Set before
# it is loaded; who wants otherwise says so.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

# Said here so that the list of commands is written without loading each of them.
COMMANDS = {
    "demo": "Import an invented season, write its page, print the next drill.",
    "card": "Write a blank scorecard: CSV, a page, or paper.",
    "check": "Read scorecards and report every problem; store nothing.",
    "import": "Store scorecards (CSV or .xlsx), practice logs, whole folders.",
    "rounds": "List the stored rounds, in the order played.",
    "remove": "Take rounds out of the archive.",
    "round": "Show one round, hole by hole; the latest without an ID.",
    "season": "Summarise the rounds of a year, or all, or the latest.",
    "practice": "Decide which drill to do next, or plan whole sessions.",
    "drills": "List the drills, show one, or log what you practised.",
    "stroke": "Show read, direction and pace, habits, and what better is worth.",
    "compare": "Compare two sets of rounds: luck, or more?",
    "squad": "Sum up all players: who loses where, which drills serve several.",
    "course": "Prepare a course: what its green speed and slopes mean for you.",
    "putt": "Show how a putt behaves on a slope, to set up practice.",
    "expect": "Show expected putts and the one-putt share from a length.",
    "baselines": "List whom you can be compared with, or the table of one.",
    "pages": "Write every page into a folder, linked; again, what changed.",
    "export": "Write putts, rounds, a season, practice or charts to files.",
    "bulk": "Sum up many players and seasons from Parquet putts.",
    "settings": "Show or change your name, units and hand, kept in the archive.",
    "backup": "Copy the archive, as it stands, to a new file.",
    "restore": "Go back to a backup, or save what a damaged archive still tells.",
}
# Not a docstring, which python -OO would leave out.
_ABOUT = """Find where putts cost you strokes, and which drill to do next.

Type the putts of a round into a scorecard (see: sgputt card), store it with
import, then ask practice what to work on.
"""
_DATA_PROBLEM = 1
_OBJECTS_BEFORE_A_LOOK = 200_000


def loaded(name: str) -> click.Command:
    """The command of a module, with its help even where Python leaves docstrings out (-OO)."""
    module = import_module(name)
    command: click.Command = module.command
    if command.help is None:
        import ast
        import inspect

        for node in ast.parse(inspect.getsource(module)).body:
            if isinstance(node, ast.FunctionDef) and node.name == "command":
                command.help = ast.get_docstring(node)
    return command


class _Group(click.Group):
    """Commands in the order of the work, each in a module of its own."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        return loaded(f"sgputt_cli.commands.{cmd_name}_")

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            ctx.fail(_unknown(args[0]))
        return super().resolve_command(ctx, args)


def _unknown(name: str) -> str:
    import difflib

    near = difflib.get_close_matches(name, COMMANDS, n=1)
    hint = f"Did you mean '{near[0]}'?" if near else f"Commands: {', '.join(COMMANDS)}."
    return f"There is no command '{name}'. {hint}"


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
    from sgputt.errors import SgputtError

    # Loading makes many objects and hardly any rubbish to look for.
    gc.set_threshold(_OBJECTS_BEFORE_A_LOOK)
    # The matrices are small: more threads only fight over the cores.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    make_fit()
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

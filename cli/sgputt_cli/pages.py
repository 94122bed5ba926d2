"""The pages of an archive, written into a folder."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path

from sgputt.wording import plural
from sgputt_cli.baselines import chosen_baseline
from sgputt_cli.options import Shared
from sgputt_cli.output import counter, say, write_json, write_line
from sgputt_cli.selection import all_drills, kept_records
from sgputt_cli.stored import open_archive, settings_of
from sgputt_reports.site import HOME, SiteOptions, write_site


def write_pages(
    shared: Shared, folder: Path, minutes: int, workers: int | None, own: Path | None
) -> None:
    """Write what changed, and say what was written."""
    with open_archive(shared) as archive:
        path = archive.path
    options = SiteOptions(
        path,
        chosen_baseline(shared),
        all_drills(own),
        settings_of(shared).shown_in,
        minutes,
        kept_records(),
    )
    with ExitStack() as watched:

        def progress(total: int) -> Callable[[int], None]:
            step = watched.enter_context(counter(total, "Pages"))

            def several(more: int) -> None:
                for _ in range(more):
                    step()

            return several

        report = write_site(folder, options, workers, progress)
    if shared.as_json:
        write_json({"folder": str(folder), **report.as_dict()})
        return
    if report.new_program:
        say("Another version of sgputt wrote these pages: all are written again.")
    unchanged = f"; {plural(report.unchanged, 'page')} as before" if report.unchanged else ""
    say(f"{plural(len(report.written), 'page')} written{unchanged}.")
    if report.removed:
        say(f"Removed, as their rounds are gone: {', '.join(report.removed)}.")
    if report.left:
        say(f"No longer ours, but changed by hand, so left: {', '.join(report.left)}.")
    write_line(f"Open {folder / HOME}")

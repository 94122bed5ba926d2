"""Make the pictures of the README again: ``python -m tests.reports.pictures`` writes them.

They show the demo's invented season on a telephone, and the plan of its next drill; so they need
Chromium and chromedriver, as the browser tests do.
"""

from __future__ import annotations

import base64
import tempfile
from pathlib import Path

from sgputt.analysis.season import analyse
from sgputt.baseline.catalogue import get_baseline
from sgputt.demo import DEMO_PLAYER, demo_season
from sgputt.season.scored import score
from sgputt_reports.plans import drill_file
from sgputt_reports.season import season_page
from tests.browser import start_browser

FOLDER = Path(__file__).parents[2] / "reports" / "pictures"
# A telephone's screen, and how much of the page the picture shows.
WIDTH_PX, SHOWN_PX = 390, 844


def main() -> None:
    """Write the season's page on a telephone as .png and the drill's plan as .svg."""
    analysis = analyse(score(demo_season(), get_baseline()), DEMO_PLAYER, "2026")
    first = analysis.priorities[0]
    FOLDER.mkdir(exist_ok=True)
    (FOLDER / "drill.svg").write_bytes(drill_file(first.drill, "svg"))
    with tempfile.TemporaryDirectory() as scratch:
        page = Path(scratch) / "season.html"
        page.write_text(season_page(analysis), encoding="utf-8")
        browser = start_browser(Path(scratch) / "profile")
        size = {"width": WIDTH_PX, "height": SHOWN_PX, "deviceScaleFactor": 1.5, "mobile": True}
        browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
        browser.get(page.as_uri())
        for name, top in (("season-phone-1", 0), ("season-phone-2", SHOWN_PX)):
            browser.execute_script(f"window.scrollTo(0, {top})")
            shot = browser.execute_cdp_cmd("Page.captureScreenshot", {"format": "png"})
            (FOLDER / f"{name}.png").write_bytes(base64.b64decode(shot["data"]))
        browser.quit()


if __name__ == "__main__":
    main()

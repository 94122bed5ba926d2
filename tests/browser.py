"""The browser that tests of pages use: where it is, and how ``make test`` gets it.

Run as a module it installs Debian's Chromium where it may, and says loudly where it may not.
"""

from __future__ import annotations

import os
import platform
import shutil
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

import pytest
from selenium import webdriver

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
DRIVER = "chromedriver"
PACKAGES = ("chromium", "chromium-driver")
NOT_RUN = "BROWSER TESTS NOT RUN: no Chromium or Chrome with chromedriver on the path"
HOW = f"On Debian: apt-get install {' '.join(PACKAGES)}"
FLAGS = (
    "--headless=new --no-sandbox --disable-gpu --disable-quic --no-first-run "
    "--disable-background-networking --disable-component-update --disable-sync"
)
_LAST_LINES = 10


class Browser(NamedTuple):
    """Paths of a browser and of its driver."""

    browser: str
    driver: str


def find_browser() -> Browser | None:
    """The first browser on the path, with its driver."""
    browser = next(filter(None, map(shutil.which, NAMES)), None)
    driver = shutil.which(DRIVER)
    return Browser(browser, driver) if browser and driver else None


def is_needed() -> bool:
    """Whether a missing browser is a failure."""
    return os.environ.get("CI") == "true"


def start_browser(profile: Path) -> webdriver.Chrome:
    """A browser without a window; without one the test is skipped, with CI=true it fails."""
    found = find_browser()
    if found is None:
        if is_needed():
            pytest.fail(NOT_RUN)
        pytest.skip(NOT_RUN)
    options = webdriver.ChromeOptions()
    options.binary_location = found.browser
    for flag in (*FLAGS.split(), f"--user-data-dir={profile}"):
        options.add_argument(flag)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    return webdriver.Chrome(options=options, service=webdriver.ChromeService(found.driver))


def may_install() -> bool:
    """Whether this is Debian, and we are root."""
    if os.geteuid() != 0 or shutil.which("apt-get") is None:
        return False
    try:
        return platform.freedesktop_os_release().get("ID") == "debian"
    except OSError:
        return False


def install() -> None:
    """Install Debian's packages; what apt says is shown only when it fails."""
    _say(f"Installing {' and '.join(PACKAGES)} for the tests of pages ...")
    quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    for words in (("update",), ("install", "-y", "--no-install-recommends", *PACKAGES)):
        done = subprocess.run(
            ["apt-get", "-q", *words], env=quiet, capture_output=True, text=True, check=False
        )
        if done.returncode != 0:
            said = (done.stdout + done.stderr).splitlines()[-_LAST_LINES:]
            _say("\n".join([f"apt-get {words[0]} failed:", *said]))
            return


def main() -> int:
    """See to a browser; exit status 1 when there is none and one is needed."""
    if find_browser() is None and may_install():
        install()
    if find_browser() is not None:
        return 0
    _say(f"{'*' * 78}\n{NOT_RUN}.\n{HOW}\n{'*' * 78}")
    return 1 if is_needed() else 0


def _say(text: str) -> None:
    sys.stderr.write(f"{text}\n")


if __name__ == "__main__":
    sys.exit(main())

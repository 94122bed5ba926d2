"""What ``make test`` does about a browser: quick when there is one, loud when there is none."""

from __future__ import annotations

import stat
import subprocess
import sys
from pathlib import Path

import pytest

from tests import browser

ROOT = Path(__file__).parents[1]
# A stand-in for apt-get that notes its words and puts the programs beside itself.
APT_GET = """#!/bin/sh
echo "$@" >> "{folder}/words"
{then}
"""
INSTALLS = 'for name in chromium chromedriver; do cp "$0" "{folder}/$name"; done'


def program(folder: Path, name: str, text: str = "#!/bin/sh\n") -> None:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    path.chmod(path.stat().st_mode | stat.S_IXUSR)


def see_to_it(folder: Path, ci: str = "") -> subprocess.CompletedProcess[str]:
    """Run it where no other program is on the path."""
    (folder / "cp").unlink(missing_ok=True)
    (folder / "cp").symlink_to("/bin/cp")
    return subprocess.run(
        [sys.executable, "-m", "tests.browser"],
        cwd=ROOT,
        env={"PATH": str(folder), "CI": ci, "HOME": str(folder)},
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )


def test_with_a_browser_there_nothing_is_done_or_said(tmp_path: Path) -> None:
    for name in ("chromium", "chromedriver"):
        program(tmp_path, name)
    program(tmp_path, "apt-get", APT_GET.format(folder=tmp_path, then="exit 1"))
    done = see_to_it(tmp_path, "true")
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
    assert not (tmp_path / "words").exists()


@pytest.mark.parametrize(("ci", "status"), [("", 0), ("true", 1)])
def test_without_a_browser_it_is_said_loudly(tmp_path: Path, ci: str, status: int) -> None:
    done = see_to_it(tmp_path, ci)
    assert done.returncode == status
    assert "BROWSER TESTS NOT RUN" in done.stderr
    assert "apt-get install chromium chromium-driver" in done.stderr


@pytest.mark.skipif(not browser.may_install(), reason="root on Debian only")
@pytest.mark.parametrize("works", [True, False])
def test_root_on_debian_installs_one(tmp_path: Path, works: bool) -> None:
    then = INSTALLS.format(folder=tmp_path) if works else "echo no network; exit 100"
    program(tmp_path, "apt-get", APT_GET.format(folder=tmp_path, then=then))
    done = see_to_it(tmp_path, "true")
    words = (tmp_path / "words").read_text(encoding="utf-8")
    assert words.startswith("-q update\n")
    assert done.returncode == (0 if works else 1)
    if works:
        assert "install -y --no-install-recommends chromium chromium-driver" in words
    else:
        assert "no network" in done.stderr


def test_a_driver_without_a_browser_is_no_browser(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    program(tmp_path, "chromedriver")
    monkeypatch.setenv("PATH", str(tmp_path))
    assert browser.find_browser() is None
    program(tmp_path, "google-chrome")
    found = browser.find_browser()
    assert found is not None
    assert found.browser.endswith("google-chrome")
    with_ci = {"true": pytest.fail.Exception, "": pytest.skip.Exception}
    monkeypatch.setenv("PATH", "")
    for ci, outcome in with_ci.items():
        monkeypatch.setenv("CI", ci)
        with pytest.raises(outcome, match="BROWSER TESTS NOT RUN"):
            browser.start_browser(tmp_path)

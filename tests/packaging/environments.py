"""Environments of their own to test in: the lowest and the newest versions, the sdist, the wheel.

Run as ``python -m tests.packaging.environments lowest`` (or newest, sdist, wheel, locked). Each
makes a new virtual environment under build/care/ and needs the network that pip needs.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import venv
from collections.abc import Callable, Sequence
from pathlib import Path

from packaging.utils import canonicalize_name

from tests.packaging import built, locked, pins, wheel_only

ROOT = pins.ROOT
CARE = ROOT / "build" / "care"
PROCESSES = os.environ.get("PYTEST_PROCESSES", "auto")


def fresh(name: str) -> tuple[Path, Path]:
    """An empty folder and the Python of a new virtual environment in it."""
    folder = CARE / name
    shutil.rmtree(folder, ignore_errors=True)
    venv.create(folder / "venv", with_pip=True, symlinks=True)
    return folder, folder / "venv" / "bin" / "python"


def run(words: Sequence[str | Path], cwd: Path = ROOT, **extra: str) -> int:
    """Run a program and show what it says; what this environment set for Python is left out."""
    sys.stdout.write(f"$ {' '.join(Path(each).name for each in map(str, words))}\n")
    sys.stdout.flush()
    clean = {name: value for name, value in os.environ.items() if name != "PYTHONPATH"}
    return subprocess.run(
        [str(each) for each in words], cwd=cwd, env={**clean, **extra}, check=False
    ).returncode


def install(python: Path, *words: str, cwd: Path = ROOT) -> None:
    """Install with pip, or stop."""
    quiet = ("-m", "pip", "install", "--quiet", "--disable-pip-version-check")
    if run([python, *quiet, *words], cwd) != 0:
        raise SystemExit("pip could not install it.")


def versions(python: Path) -> str:
    """Versions of the direct dependencies that an environment holds."""
    names = sorted({canonicalize_name(each.name) for each in pins.everything()})
    code = f"from importlib.metadata import version as v\nfor n in {names}: print(n, v(n))"
    done = subprocess.run([python, "-c", code], capture_output=True, text=True, check=True)
    return ", ".join(done.stdout.splitlines())


def at_versions(name: str, *constraints: str) -> int:
    """Run the tests with all extras, at versions that are not those pinned."""
    _, python = fresh(name)
    install(python, *constraints, "-e", f".[{','.join(pins.extras())}]")
    sys.stdout.write(f"{name}: Python {sys.version.split()[0]}, {versions(python)}\n")
    return run(
        [python, "-m", "pytest", "-q", "-n", PROCESSES, "-p", "no:cacheprovider"],
        SGPUTT_VERSIONS=name,
    )


def try_lowest() -> int:
    """The lowest versions that pyproject.toml allows."""
    return at_versions("lowest", "-c", pins.LOWEST.name)


def try_newest() -> int:
    """The newest that it allows and that work together."""
    return at_versions("newest")


def try_sdist() -> int:
    """What README tells a newcomer to type, in an sdist unpacked where nothing else lies."""
    folder = CARE / "sdist"
    shutil.rmtree(folder, ignore_errors=True)
    unpacked = built.unpack_sdist(built.build("sdist", folder / "out"), folder / "unpacked")
    base = getattr(sys, "_base_executable", sys.executable)
    for target in ("demo", "test"):
        if status := run(["make", target, f"PYTHON={base}"], unpacked):
            return status
    return 0


def try_locked() -> int:
    """Nothing but the files whose hashes are listed, and that sgputt finds all it needs there."""
    _, python = fresh("locked")
    install(python, "--require-hashes", "--no-deps", "-r", locked.LOCKED.name)
    install(python, "--no-deps", "--no-build-isolation", "-e", ".")
    if status := run([python, "-m", "pip", "check"]):
        return status
    return run([python, "-m", "pytest", "-q", "-p", "no:cacheprovider", "tests/packaging"])


def try_wheel() -> int:
    """The wheel alone, without checkout or tools; then with click and no other library."""
    folder, python = fresh("wheel")
    wheel = built.build("wheel", folder / "out")
    install(python, "-c", pins.PINNED.name, str(wheel))
    wheel_only.check_all(python, folder / "elsewhere")
    folder, python = fresh("wheel-click")
    install(python, "-c", pins.PINNED.name, "click")
    install(python, "--no-deps", str(wheel))
    wheel_only.check_help(python, folder / "elsewhere")
    return 0


TARGETS: dict[str, Callable[[], int]] = {
    "lowest": try_lowest,
    "newest": try_newest,
    "sdist": try_sdist,
    "locked": try_locked,
    "wheel": try_wheel,
}


if __name__ == "__main__":
    if len(sys.argv) != 2 or sys.argv[1] not in TARGETS:
        raise SystemExit(f"Name one of: {', '.join(TARGETS)}")
    sys.exit(TARGETS[sys.argv[1]]())

"""The wheel and the sdist, built by hatchling without a network, and what lies in them."""

from __future__ import annotations

import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

ROOT = Path(__file__).parents[2]


def build(kind: str, out: Path, source: Path = ROOT) -> Path:
    """Build a ``wheel`` or an ``sdist`` of a source tree into an empty folder."""
    done = subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", kind, "-d", str(out)],
        cwd=source,
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    if done.returncode != 0:
        raise RuntimeError(f"hatchling could not build the {kind}:\n{done.stdout}{done.stderr}")
    [path] = out.iterdir()
    return path


def unpack_sdist(path: Path, into: Path) -> Path:
    """Unpack an sdist; returns the one folder it holds."""
    with tarfile.open(path) as archive:
        archive.extractall(into, filter="data")
    [folder] = into.iterdir()
    return folder


def unpack_wheel(path: Path, into: Path) -> Path:
    """Unpack a wheel as an installer lays it out, without its commands."""
    with zipfile.ZipFile(path) as archive:
        archive.extractall(into)
    return into


def files_under(folder: Path) -> dict[str, bytes]:
    """Every file under a folder by its path in it; what Python leaves behind is no file of ours."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and "__pycache__" not in path.parts
    }

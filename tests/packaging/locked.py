"""Hashes of the pinned files, so that an installation can refuse any other.

Run as a module it asks pip what it would install and writes requirements-locked.txt. pip names one
file a package, that of the machine it runs on: the list is good where CI runs.
"""

from __future__ import annotations

import json
import subprocess
import sys

from packaging.utils import canonicalize_name

from tests.packaging import pins

LOCKED = pins.ROOT / "requirements-locked.txt"
HEAD = """\
# constraints.txt with the hash of each file, for CPython 3.11 on Linux x86-64.
# Written by: make pins. Used by: make test-locked
"""


def locked() -> dict[str, tuple[str, str]]:
    """Version and SHA-256 by normal name, as the file has them."""
    found = {}
    text = LOCKED.read_text(encoding="utf-8").removeprefix(HEAD)
    for line in text.replace(" \\\n", "").splitlines():
        pin, _, digest = line.partition("    --hash=sha256:")
        name, _, version = pin.partition("==")
        found[name] = version, digest
    return found


def text() -> str:
    """What the file should hold, as pip finds it now."""
    wanted = [f".[{','.join(pins.extras())}]", *pins.project()["build"]]
    done = subprocess.run(
        [
            *(sys.executable, "-m", "pip", "install", "--quiet", "--disable-pip-version-check"),
            *("--dry-run", "--ignore-installed", "--no-build-isolation", "--report", "-"),
            *("-c", str(pins.PINNED), *wanted),
        ],
        cwd=pins.ROOT,
        stdout=subprocess.PIPE,
        text=True,
        check=True,
    )
    lines = {}
    for each in json.loads(done.stdout)["install"]:
        name = canonicalize_name(each["metadata"]["name"])
        if name != pins.OURS:
            digest = each["download_info"]["archive_info"]["hashes"]["sha256"]
            version = each["metadata"]["version"]
            lines[name] = f"{name}=={version} \\\n    --hash=sha256:{digest}\n"
    return HEAD + "".join(line for _, line in sorted(lines.items()))


if __name__ == "__main__":
    LOCKED.write_text(text(), encoding="utf-8")
    sys.stdout.write(f"Written: {LOCKED.name}\n")

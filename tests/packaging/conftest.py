"""The wheel and the sdist of this tree, built once and unpacked."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.packaging import built


@pytest.fixture(scope="session")
def sdist(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Folder that the sdist unpacks to."""
    path = built.build("sdist", tmp_path_factory.mktemp("built") / "out")
    return built.unpack_sdist(path, tmp_path_factory.mktemp("sdist"))


@pytest.fixture(scope="session")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Folder with what the wheel puts into site-packages."""
    path = built.build("wheel", tmp_path_factory.mktemp("built") / "out")
    return built.unpack_wheel(path, tmp_path_factory.mktemp("wheel"))

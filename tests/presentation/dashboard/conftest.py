import shutil
from pathlib import Path

import pytest
from presentation.dashboard.apppages import SAMPLES

from corrosion.presentation.dashboard import masthead
from corrosion.presentation.dashboard.serve import SHIPS

DATA = Path(__file__).parents[3] / "data"


@pytest.fixture(autouse=True)
def _few_samples(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the masthead offer as few samples as a page needs to be looked at."""
    monkeypatch.setattr(masthead, "SAMPLES", (SAMPLES, *masthead.SAMPLES[1:]))


@pytest.fixture(scope="session")
def fleet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Both invented ships, where nothing is written."""
    folder = tmp_path_factory.mktemp("ships")
    shutil.copytree(DATA, folder, dirs_exist_ok=True)
    return folder


@pytest.fixture
def ships(fleet: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv(SHIPS, str(fleet))
    return fleet


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """One invented ship to write into."""
    folder = tmp_path / "grey-plover"
    shutil.copytree(DATA / "grey-plover", folder)
    monkeypatch.setenv(SHIPS, str(tmp_path))
    return folder

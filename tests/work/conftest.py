"""The small shop at a stage, as the stories begin; on SQLite alone: what is computed of a record knows no engine."""

from pathlib import Path

import pytest

from private_postgres import Place
from stories.conftest import begin

__all__ = ["begin"]


@pytest.fixture(scope="session")
def place() -> Place:
    def beside(folder: Path) -> Path:
        return folder / "record.db"

    return beside

"""What the tests of the commands share: running a command, and the invented shop's folder."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import rackwright
import small_shop as small
from rackwright import record as records
from rackwright.faces.cli.main import main
from rackwright.work.station import Station, new_id, now

DEMO = Path(rackwright.__file__).parent / "demo" / "shop"
VARIATION, STANDARD = DEMO / "variations" / "er-47-v12.toml", DEMO / "standards" / "er-47.toml"

Run = Callable[..., tuple[int, str, str]]


def runner(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    """Runs the command line; gives exit code, stdout, stderr."""
    monkeypatch.delenv("RACKWRIGHT_SHOP", raising=False)

    def run(*args: str | Path) -> tuple[int, str, str]:
        with pytest.raises(SystemExit) as left:
            main([str(arg) for arg in args])
        out, err = capsys.readouterr()
        assert "Traceback" not in out + err
        return int(left.value.code or 0), out, err

    return run


def answer(run: Run, *args: str | Path, code: int = 0) -> Any:
    """The one JSON document of a command, which must end with this exit code."""
    left, out, err = run(*args, "--json")
    assert left == code, err
    return json.loads(out)


def troubles(run: Run, *args: str | Path, code: int) -> list[str]:
    """The trouble codes that a command ends with."""
    return [trouble["code"] for trouble in answer(run, *args, code=code)["trouble"]]


def by_name(folder: Path, lead: str) -> Path:
    """The shop that `new` has just made, its record begun as one that was founded before signatures were required."""
    with records.open(folder / "record.db") as record:
        body = record.events()[0].body
    for left in folder.glob("record.db*"):
        left.unlink()
    with records.create(folder / "record.db") as record:
        small.founded_by_name(Station(record, lead, now, new_id), body["key_id"], body["shop"], body["demo"])
    return folder


def certificates_only(folder: Path) -> None:
    """The shop asks no more of stock than its certificate."""
    house = folder / "shop.toml"
    asked = r"^(papers|read|wall_tolerance|conductivity|storage) = .*\n"
    house.write_text(re.sub(asked, "", house.read_text("utf-8"), flags=re.MULTILINE), "utf-8")


def shop_copy(folder: Path) -> Path:
    """The invented shop's texts in a folder of their own, to be edited."""
    shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns("__pycache__", "*.py"))
    return folder


def edited(path: Path, *pairs: tuple[str, str]) -> Path:
    """The file with each text replaced by the other; every text must be there."""
    text = path.read_text("utf-8")
    for old, new in pairs:
        assert old in text, old
        text = text.replace(old, new)
    path.write_text(text, "utf-8")
    return path

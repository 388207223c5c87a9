"""The documents cannot lie: what is rendered is fresh, and commands named in the pages exist."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from rackwright.faces.cli.main import COMMANDS

ROOT = Path(__file__).parents[1]
PAGES = sorted(ROOT.glob("*.md"))
BLOCK = re.compile(r"^```(?:sh|bash|shell|console)\n(.*?)^```", re.MULTILINE | re.DOTALL)


def called(page: str) -> list[str]:
    """The command words of all lines of shell blocks that call rackwright."""
    lines = [line.strip().removeprefix("$ ") for block in BLOCK.findall(page) for line in block.splitlines()]
    return [line.split()[1] for line in lines if line.startswith("rackwright ")]


def render(*arguments: str) -> subprocess.CompletedProcess[str]:
    program = [sys.executable, str(ROOT / "docs" / "render.py"), *arguments]
    return subprocess.run(program, capture_output=True, text=True, check=False)


def test_rendered_documents_are_fresh() -> None:
    done = render("--check")
    assert (done.returncode, done.stderr) == (0, "")


def test_a_stale_document_is_named(tmp_path: Path) -> None:
    (tmp_path / "render.py").write_bytes((ROOT / "docs" / "render.py").read_bytes())
    (tmp_path / "schema").mkdir()
    (tmp_path / "schema" / "left-over.json").write_text("{}")
    program = [sys.executable, str(tmp_path / "render.py")]
    done = subprocess.run([*program, "--check"], capture_output=True, text=True, check=False)
    assert done.returncode == 1
    for name in ("codes.md", "commands.md", "formulas.md", "schema/left-over.json"):
        assert f"docs/{name} is stale" in done.stderr
    assert not (tmp_path / "codes.md").exists()
    subprocess.run(program, check=True)
    subprocess.run([*program, "--check"], check=True)
    assert not (tmp_path / "schema" / "left-over.json").exists()


@pytest.mark.parametrize("page", PAGES, ids=lambda path: path.name)
def test_a_page_calls_only_commands_that_exist(page: Path) -> None:
    assert set(called(page.read_text("utf-8"))) <= {*COMMANDS, "--help", "-h", "--version"}


def test_the_check_of_pages_sees_calls() -> None:
    page = "```sh\nmake demo\nrackwright explain RW104\n$ rackwright nonsense x\n```\n```text\nrackwright no\n```\n"
    assert called(page) == ["explain", "nonsense"]

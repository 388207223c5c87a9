"""The record and the seal open in decades without the engineering code's libraries."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from histories import make_record
from rackwright.seal import DEMO_SEED, make_seal

ENGINEERING = (
    "numpy",
    "scipy",
    "pydantic",
    "pint",
    "highspy",
    "typst",
    "zxingcpp",
    "click",
    "rich",
    "rfc8785",
)

SEAL = """
from pathlib import Path
from rackwright.seal import verify
checks = verify(Path('SN-0001.pdf').read_bytes(), Path('SN-0001.seal').read_bytes())
print(all(check.ok for check in checks))
"""
RECORD = """
from rackwright import record
with record.open('record.db') as shop:
    print(record.audit(shop).ok and record.project(shop.events()).serials['SN-0001'].state)
"""


def run(code: str, folder: Path, blocked: tuple[str, ...]) -> subprocess.CompletedProcess[str]:
    start = f"import sys; sys.modules.update(dict.fromkeys({blocked!r}))\n"
    return subprocess.run(
        [sys.executable, "-c", start + code], cwd=folder, capture_output=True, text=True, check=False
    )


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("shop")
    with make_record(path / "record.db") as shop:
        events = [event.to_json() for event in shop.events()]
        seal = make_seal("SN-0001", b"%PDF invented", events, shop.tree(), "2031-05-06T08:00:00Z", DEMO_SEED)
    (path / "SN-0001.pdf").write_bytes(b"%PDF invented")
    (path / "SN-0001.seal").write_bytes(seal)
    return path


def test_the_seal_verifies_with_the_standard_library_and_cryptography(folder: Path) -> None:
    assert run(SEAL, folder, (*ENGINEERING, "sqlalchemy")).stdout == "True\n"


def test_the_record_opens_and_is_audited_without_the_engineering_code(folder: Path) -> None:
    assert run(RECORD, folder, ENGINEERING).stdout == "released\n"


def test_without_cryptography_the_answer_is_what_to_install(folder: Path) -> None:
    done = run(SEAL, folder, ("cryptography", "cryptography.hazmat"))
    assert done.stderr.splitlines()[-1].endswith("install it: pip install cryptography [RW603]")

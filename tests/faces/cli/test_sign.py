"""Signing as it is typed: a code from the lead, a PIN of one's own, a wrong one, and never a secret on the screen."""

from __future__ import annotations

from pathlib import Path

import pytest

from faces.cli.shop_desk import Run, answer, runner, troubles

LEAD, SAWYER = "A. Quill", "C. Vint"


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    return runner(capsys, monkeypatch)


def test_from_the_leads_code_to_a_signed_act(run: Run, tmp_path: Path) -> None:
    shop, sign = tmp_path / "shop", tmp_path / "sign"

    def log(by: str, kind: str, *words: str, secret: str = "") -> list[str | Path]:
        sign.write_text(secret)
        return ["log", kind, "--by", by, *words, "--shop", shop, *(["--sign", sign] if secret else [])]

    code, out, _ = run("new", shop, "--name", "Fell Bench Works (invented)", "--by", LEAD)
    assert (code, "Nobody can sign yet" in out) == (0, True)
    person = ("person", f"person={SAWYER}", "roles=saw", "until=2999-01-01", "scopes=cut")
    assert troubles(run, *log(LEAD, *person), code=1) == ["RW545"]
    assert run(*log(LEAD, "secret", "kind=password", secret="four tubes and a block\n"))[0] == 0
    assert run(*log(LEAD, *person, secret="four tubes and a block\n"))[0] == 0
    code, out, err = run(*log(LEAD, "code", f"person={SAWYER}", secret="four tubes and a block\n"))
    assert (code, out) == (0, "recorded 6 code\n")
    once = err.rpartition(": ")[2].strip()
    assert run(*log(SAWYER, "secret", "kind=pin", secret=f"{once}\n7392\n"))[0] == 0

    supplier = ("supplier=Fell Coaters", "scope=coat")
    assert troubles(run, *log(LEAD, "supplier", *supplier), code=1) == ["RW545"]
    assert troubles(run, *log(LEAD, "supplier", *supplier, secret="four tubes\n"), code=1) == ["RW546"]
    done = answer(run, *log(LEAD, "supplier", *supplier, secret="four tubes and a block\n"))
    assert done["recorded"][0]["known"]["signed"] == "password"
    code, out, _ = run("audit", shop)
    assert code == 0
    assert "acts: 1 by code, 3 by password; 2 by name only; every act is to be signed since event 1" in out
    assert troubles(run, *log(LEAD, "signatures", "required=perhaps", "reason=x"), code=2) == ["RW504"]


def test_a_shop_is_founded_with_its_leads_password_or_not_at_all(run: Run, tmp_path: Path) -> None:
    sign = tmp_path / "sign"
    shop, why = tmp_path / "shop", "one bench, one person"
    new = ("new", shop, "--name", "Fell Bench Works (invented)", "--by", LEAD, "--sign", sign)
    sign.write_text("too short\n")
    assert troubles(run, *new, code=2) == ["RW504"]
    assert not shop.exists()
    sign.write_text("four tubes and a block\n")
    assert run(*new)[1].startswith("recorded 1 found\nrecorded 2 person\nrecorded 3 secret\n")
    off = ["log", "signatures", "--by", LEAD, "--shop", shop, "required=no", f"reason={why}"]
    assert troubles(run, *off, code=1) == ["RW545"], "nor is it turned off by name"
    assert run(*off, "--sign", sign)[0] == 0
    assert f"acts need not be signed since event 5, by {LEAD}: {why}" in run("audit", shop)[1]


def test_a_new_secret_is_not_asked_for_where_nobody_sits(run: Run, tmp_path: Path) -> None:
    run("new", tmp_path / "shop", "--name", "Fell Bench Works (invented)", "--by", LEAD)
    code, _, err = run("log", "secret", "--by", LEAD, "kind=pin", "--shop", tmp_path / "shop")
    assert code == 2
    assert "--sign FILE" in err

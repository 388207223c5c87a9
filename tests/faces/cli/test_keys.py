"""`log key` and `log key_revoked` as they are typed: a shop's key is changed twice, and one is stolen."""

from __future__ import annotations

import stat
from pathlib import Path
from typing import Any

import pytest

from faces.cli.shop_desk import Run, answer, by_name, runner, troubles
from histories import act
from rackwright import record
from rackwright.record.keys import trust_of
from rackwright.seal import (
    Head,
    hand_over,
    key_id,
    make_seal,
    new_seed,
    public_key,
    read_key,
    revoke,
    sign_head,
    trusted,
    write_keys,
)
from rackwright.trouble import Stopped
from rackwright.work.keeping.hindsight import in_hindsight
from rackwright.work.papers.witness import head_file, record_head, witness_of
from rackwright.work.people import handing_over
from rackwright.work.station import open_station

LEAD, PDF, AT = "A. Quill", b"%PDF an invented dossier", "2031-05-04T13:00:00Z"


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    return runner(capsys, monkeypatch)


@pytest.fixture
def shop(run: Run, tmp_path: Path) -> Path:
    assert answer(run, "new", tmp_path / "shop", "--name", "Fell Bench Works (invented)", "--by", LEAD)
    return by_name(tmp_path / "shop", LEAD)


def seed(shop: Path) -> bytes:
    found, _ = read_key((shop / "shop.key").read_text("ascii"))
    assert found is not None
    return found


def log(run: Run, shop: Path, type: str, *words: str, by: str = LEAD, code: int = 0) -> Any:
    return answer(run, "log", type, "--by", by, *words, "--shop", shop, code=code)


def key(run: Run, shop: Path, *words: str) -> tuple[bytes, str]:
    """The shop's key after it was handed over."""
    assert log(run, shop, "key", "reason=five years", *words)
    return seed(shop), key_id(public_key(seed(shop)))


def sealed(shop: Path, serial: str, by: bytes) -> Path:
    """A dossier with a seal over the whole record, signed by this key; its event is no release."""
    with record.open(shop / "record.db") as made:
        events = [{**event.to_json()} for event in made.events()][-1:]
        seal = make_seal(serial, PDF, events, made.tree(), AT, by)
    (shop / "papers").mkdir(exist_ok=True)
    (shop / "papers" / f"{serial}.pdf").write_bytes(PDF)
    (shop / "papers" / f"{serial}.seal").write_bytes(seal)
    return shop / "papers" / f"{serial}.pdf"


def key_check(run: Run, pdf: Path, id: str) -> dict[str, Any]:
    checks = answer(run, "verify", pdf, "--key", id, code=1)[
        "checks"
    ]  # nothing is released here: that is told
    (found,) = [check for check in checks if check["name"] == "key"]
    return dict(found)


def keys_beside(shop: Path) -> None:
    with record.open(shop / "record.db") as made:
        (shop / "papers" / "keys.json").write_bytes(write_keys(trust_of(made.events())))


def append(shop: Path, type: str, body: dict[str, Any]) -> None:
    with record.open(shop / "record.db") as made:
        made.append([act(99, type, body, by=LEAD)], made.head())


def test_a_key_is_handed_over_twice_and_an_old_dossier_is_still_the_shop_s(run: Run, shop: Path) -> None:
    first = seed(shop)
    pdf = sealed(shop, "SN-1", first)
    second, middle = key(run, shop)
    third, newest = key(run, shop)
    assert len({first, second, third}) == 3
    kept = {path.name for path in shop.glob("shop.key*")}
    assert kept == {
        "shop.key",
        *(f"shop.key.{key_id(public_key(each))[:16]}" for each in (first, second, third)),
    }
    assert {stat.S_IMODE(path.stat().st_mode) for path in shop.glob("shop.key*")} == {0o600}
    assert not key_check(run, pdf, newest)["ok"]
    assert trusted(str(shop / "shop.pub"), Path.read_bytes) == newest
    keys_beside(shop)
    for id in (newest, middle, key_id(public_key(first))):
        assert key_check(run, pdf, id)["ok"]
    sealed(shop, "SN-2", third)
    assert answer(run, "audit", shop)["answers"] == {"whole": True, "balanced": True, "believed": True}
    (shop / "shop.key").unlink()  # the record is elsewhere: it is trusted by the key of its founding
    assert answer(run, "audit", shop)["answers"]["believed"]
    sealed(shop, "SN-3", new_seed())
    assert not answer(run, "audit", shop, code=1)["answers"]["believed"]


def test_a_repeated_act_hands_over_once(run: Run, shop: Path) -> None:
    once = key(run, shop, "--act", "K-1")
    assert key(run, shop, "--act", "K-1") == once
    assert len(answer(run, "log", "list", "--type", "key", "--shop", shop)["events"]) == 1


def test_cut_after_the_event_the_new_key_is_found_and_put_in_place(
    run: Run, shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = (shop / "shop.key").read_text("ascii")
    with monkeypatch.context() as cut:
        cut.setattr(handing_over, "_put_in_place", lambda *_: None)
        log(run, shop, "key", "reason=five years", "--act", "K-1")
    assert (shop / "shop.key").read_text("ascii") == first
    assert answer(run, "audit", shop)["answers"]["believed"]
    second, _ = key(run, shop, "--act", "K-1")
    assert second != read_key(first)[0]
    assert len({path.name for path in shop.glob("shop.key*")}) == 3


def test_refused_without_role_reason_or_key_and_nothing_is_left(run: Run, shop: Path) -> None:
    log(run, shop, "person", "person=B. Tarrow", "roles=saw")
    before = seed(shop)
    log(run, shop, "key", "reason=mine", by="B. Tarrow", code=1)
    assert troubles(run, "log", "key", "--by", LEAD, "reason= ", "--shop", shop, code=2) == ["RW504"]
    assert [path.name for path in shop.glob("shop.key*")] == ["shop.key"]
    assert seed(shop) == before
    (shop / "shop.key").unlink()
    said = log(run, shop, "key", "reason=lost", code=1)
    assert said["trouble"][0]["code"] == "RW604"
    assert troubles(run, "log", "key_revoked", "--by", LEAD, "key=" + "0" * 64, "since=1", "reason=x",
                    "--shop", shop, code=1) == ["RW604"]  # fmt: skip


def test_a_handover_by_a_stranger_is_found_and_leads_nowhere(run: Run, shop: Path) -> None:
    his, mine = new_seed(), seed(shop)
    append(shop, "key", {"handover": hand_over(his, mine, 2, AT).to_json(), "reason": "his"})
    sealed(shop, "SN-1", mine)
    audit = answer(run, "audit", shop, code=1)
    assert not audit["answers"]["balanced"]
    unsigned = {**hand_over(his, mine, 2, AT).to_json(), "to_signature": "00" * 64}
    with record.open(shop / "record.db") as made:
        made.append([act(100, "key", {"handover": unsigned, "reason": "his"}, by=LEAD)], made.head())
        found = record.audit(made, trusted_key=key_id(public_key(mine)))
        assert "not signed by both keys" in found.believed[0].found
        words = [each.found for each in in_hindsight(made.events())]
    assert sum("would hand over, and the shop signs with" in each for each in words) == 2
    assert sum("which the shop did not sign with" in each for each in words) == 2


def test_a_revoked_key_s_later_head_is_found_by_audit_and_verify(run: Run, shop: Path) -> None:
    stolen = seed(shop)
    old = key_id(public_key(stolen))
    early = sealed(shop, "SN-1", stolen)
    key(run, shop)
    with record.open(shop / "record.db") as made:
        size = made.head().size
    assert log(run, shop, "key_revoked", f"key={old}", f"since={size - 1}", "reason=tablet stolen")
    keys_beside(shop)
    said = key_check(run, early, old)
    assert said["ok"]
    assert "tablet stolen" in said["words"]
    assert answer(run, "audit", shop)["answers"] == {"whole": True, "balanced": True, "believed": True}
    late = sealed(shop, "SN-2", stolen)
    assert not key_check(run, late, old)["ok"]
    audit = answer(run, "audit", shop, code=1)
    assert not audit["answers"]["believed"]
    assert any("tablet stolen" in each["found"] for each in audit["trouble"])


def test_a_recorded_head_of_a_revoked_key_is_found(run: Run, shop: Path) -> None:
    stolen = seed(shop)
    key(run, shop)
    log(run, shop, "key_revoked", f"key={key_id(public_key(stolen))}", "since=2", "reason=tablet stolen")
    with record.open(shop / "record.db") as made:
        heads = {head.size: head for head in made.heads()}
        for n, size in enumerate((2, 3)):
            head = sign_head(Head(size, heads[size].root), AT, stolen)
            made.append(
                [act(99 + n, "head", {"head": head.to_json(), "paper": "traveler"}, by=LEAD)], made.head()
            )
        found = record.audit(made, trusted_key=key_id(public_key(seed(shop))))
    assert ["3 events" in each.found and "revoked" in each.found for each in found.believed] == [True]


def test_heads_of_travelers_are_recorded_and_those_beside_compared(run: Run, shop: Path) -> None:
    with record.open(shop / "record.db") as made:
        good = head_file(witness_of(made, seed(shop), "2031-05-04"))
        ahead = head_file(sign_head(Head(99, "ab" * 32), AT, seed(shop)))
        his = head_file(witness_of(made, new_seed(), "2031-05-04"))
    station = open_station(shop, LEAD)
    with station.record:
        assert [event.body["paper"] for event in record_head(station, good, "PO-1-traveler").events] == [
            "PO-1-traveler"
        ]
        with pytest.raises(Stopped, match="RW516"):
            record_head(station.by("Nobody"), good, "PO-1-traveler")
    (shop / "papers").mkdir()
    beside = shop / "papers" / "PO-1-traveler.head"
    for data, believed in ((good, True), (ahead, False), (his, False), (good[:-9], False), (b"", False)):
        beside.write_bytes(data)
        audit = answer(run, "audit", shop, code=0 if believed else 1)
        assert audit["answers"] == {"whole": True, "balanced": True, "believed": believed}


def test_what_may_not_be_revoked(run: Run, shop: Path) -> None:
    first = key_id(public_key(seed(shop)))
    wrong = log(run, shop, "key_revoked", f"key={first}", "since=1", "reason=x", code=1)
    assert wrong["trouble"][0]["code"] == "RW517"
    key(run, shop)
    stranger = log(run, shop, "key_revoked", f"key={'0' * 64}", "since=1", "reason=x", code=1)
    assert stranger["trouble"][0]["code"] == "RW503"
    forged = revoke(key_id(public_key(seed(shop))), 0, AT, "his", "A. Thief", new_seed())
    append(shop, "key_revoked", {"revocation": forged.to_json(), "reason": "his"})
    audit = answer(run, "audit", shop, code=1)
    assert (audit["answers"]["balanced"], audit["answers"]["believed"]) == (False, False)


def test_a_key_that_is_another_shops_is_found_and_signs_nothing(run: Run, shop: Path, tmp_path: Path) -> None:
    """Before the first dossier nothing else outside says whose record this is."""
    other = tmp_path / "other"
    assert run("new", other, "--name", "Another (invented)", "--by", "Z. Other")[0] == 0
    assert answer(run, "audit", shop)["answers"]["believed"]
    own = (shop / "shop.key").read_bytes()
    (shop / "shop.key").write_bytes((other / "shop.key").read_bytes())
    audit = answer(run, "audit", shop, code=1)
    assert audit["answers"] == {"whole": True, "balanced": True, "believed": False}
    assert "the record or the key is another's" in audit["trouble"][0]["found"]
    log(run, shop, "person", "person=B. Tarrow", "roles=receiving")
    log(run, shop, "receive", by="B. Tarrow")
    words = ("papers", "T-01", "--shop", shop, "--out", tmp_path / "out")
    assert troubles(run, *words, code=1) == ["RW604"]
    assert not (tmp_path / "out").exists()
    (shop / "shop.key").write_bytes(own)
    assert run(*words)[0] == 0
    assert {path.suffix for path in (tmp_path / "out").iterdir()} == {".pdf", ".head"}

"""A dossier: every altered byte of the PDF or its seal is found, and whose key signed is said plainly."""

from __future__ import annotations

import json
import sys
from dataclasses import FrozenInstanceError, replace
from hashlib import sha256
from typing import Any

import pytest

from rackwright.seal import (
    DEMO_SEED,
    Check,
    Head,
    Malformed,
    Tree,
    canonical,
    compare,
    key_id,
    leaf_hash,
    make_seal,
    new_seed,
    public_key,
    read_key,
    read_seal,
    read_signed_head,
    sign_head,
    verify,
    write_key,
)
from rackwright.seal.keys import sign
from rackwright.trouble import Stopped, Where

PDF = b"%PDF-1.7 invented dossier of SN-1\n%%EOF\n"
SEED = sha256(b"the invented shop of this test").digest()
KEY_ID = key_id(public_key(SEED))
AT = "2031-05-04T13:00:00Z"


def event(seq: int, type: str = "measure", serial: str = "SN-1") -> dict[str, Any]:
    return {"seq": seq, "type": type, "refs": {"serials": [serial]}, "body": {"value": f"{seq} in"}}


def tree(*events: dict[str, Any]) -> Tree:
    return Tree(leaf_hash(canonical(each)) for each in events)


EVENTS = [event(1), event(2, serial="SN-2"), event(3), event(4, "release"), event(5, "release", "SN-2")]
WHOLE = tree(*EVENTS)
HEADS = [Head(size, WHOLE.root(size).hex()) for size in range(1, 6)]
OWN = [EVENTS[0], EVENTS[2], EVENTS[3]]
SEAL = make_seal("SN-1", PDF, OWN, WHOLE, AT, SEED, HEADS[2:4])


def words(pdf: bytes, seal: bytes, key: str | None = None) -> dict[str, str]:
    return {check.name: check.words for check in verify(pdf, seal, key) if not check.ok}


def resealed(change: dict[str, Any], seed: bytes = SEED) -> bytes:
    """The seal with some fields changed and signed again: what someone holding a key could make."""
    body = {name: value for name, value in json.loads(SEAL).items() if name != "signature"} | change
    return canonical({**body, "signature": sign(seed, canonical(body)).hex()}) + b"\n"


def found(seal: bytes) -> bool:
    try:
        return bool(words(PDF, seal))
    except Stopped as stopped:
        return {each.code for each in stopped.troubles} == {"RW602"}


def test_a_whole_dossier_says_whose_key_and_how_it_is_known() -> None:
    checks = {check.name: check for check in verify(PDF, SEAL)}
    assert all(check.ok for check in checks.values())
    assert KEY_ID in checks["key"].words
    assert "taken from the seal itself" in checks["key"].words
    for trusted in (KEY_ID, public_key(SEED).hex()):
        (key,) = [check for check in verify(PDF, SEAL, trusted) if check.name == "key"]
        assert key.ok
        assert "the trusted key you gave" in key.words


def test_another_key_than_the_trusted_one_is_refused() -> None:
    other = key_id(public_key(DEMO_SEED))
    assert "not the trusted key" in words(PDF, SEAL, other)["key"]
    with pytest.raises(Stopped) as caught:
        verify(PDF, SEAL, "the key on the wall")
    assert caught.value.troubles[0].code == "RW604"


def test_the_demo_key_is_marked_and_said() -> None:
    demo = make_seal("SN-1", PDF, OWN, WHOLE, AT, DEMO_SEED)
    seal, _ = read_seal(demo)
    assert seal is not None
    assert seal.mark == "DEMO"
    assert "DEMO key" in verify(PDF, demo)[-1].words
    assert words(PDF, resealed({"mark": "DEMO"})) == {"key": "the DEMO mark does not go with the key"}


def test_every_altered_byte_of_the_pdf_is_found() -> None:
    for at in range(len(PDF)):
        altered = PDF[:at] + bytes([PDF[at] ^ 0x01]) + PDF[at + 1 :]
        assert list(words(altered, SEAL)) == ["pdf"]
    assert "bytes" in words(PDF[:-1], SEAL)["pdf"]
    assert "bytes" in words(PDF + b"\n", SEAL)["pdf"]


@pytest.mark.parametrize("bit", [0x01, 0x20, 0x80])
def test_every_altered_byte_of_the_seal_is_found(bit: int) -> None:
    for at in range(len(SEAL)):
        altered = SEAL[:at] + bytes([SEAL[at] ^ bit]) + SEAL[at + 1 :]
        assert found(altered), f"byte {at}"


@pytest.mark.parametrize(
    "data", [b"", b"\n", PDF, b"{}\n", b"[]\n", SEAL[:-1], SEAL[:-40], SEAL + b"\n", SEAL * 2]
)
def test_not_a_seal(data: bytes) -> None:
    seal, faults = read_seal(data, "SN-1.seal")
    assert seal is None
    assert [fault.code for fault in faults] == ["RW602"]


def test_what_the_shop_itself_could_forge_is_found_where_the_head_forbids_it() -> None:
    plain = json.loads(SEAL)
    other = [
        {**plain["events"][0], "event": event(1, "measure") | {"body": {"value": "40 in"}}},
        *plain["events"][1:],
    ]
    assert "event 1" in words(PDF, resealed({"events": other}))["events"]
    assert words(PDF, resealed({"serial": "SN-2"})) == {"serial": "no event here releases SN-2"}
    assert words(PDF, resealed({"events": plain["events"][:2]})) == {"serial": "no event here releases SN-1"}
    forged = sign_head(Head(5, "00" * 32), AT, SEED).to_json()
    assert set(words(PDF, resealed({"head": forged}))) == {"events", "earlier"}
    foreign = sign_head(HEADS[4], AT, DEMO_SEED).to_json()
    assert "another key" in words(PDF, resealed({"head": foreign}))["head"]
    assert "signature" in words(PDF, resealed({}, seed=DEMO_SEED))
    assert "key" in words(PDF, resealed({"key": {"id": "00" * 32, "public": public_key(SEED).hex()}}))
    earlier = [{**plain["earlier"][0], "root": "00" * 32}]
    assert "3 events" in words(PDF, resealed({"earlier": earlier}))["earlier"]


def _seal(serial: str, over: Tree, events: list[dict[str, Any]], earlier: list[Head]) -> Any:
    seal, faults = read_seal(make_seal(serial, PDF, events, over, AT, SEED, earlier))
    assert not faults
    return seal


def test_two_seals_of_one_record_are_of_one_history() -> None:
    first = _seal("SN-1", tree(*EVENTS[:4]), [EVENTS[3]], [])
    second = _seal("SN-2", WHOLE, [EVENTS[4]], HEADS[:4])
    assert all(check.ok for check in compare(first, second))
    assert all(check.ok for check in compare(second, first))
    assert all(check.ok for check in compare(first, first))


def test_the_answers_say_how_many_and_whose() -> None:
    """Between a shorter seal and a longer one, in either order, and of each with itself."""
    short, long = (
        _seal("SN-1", tree(*EVENTS[:4]), [EVENTS[3]], []),
        _seal("SN-2", WHOLE, [EVENTS[4]], HEADS[:4]),
    )
    one = Check("same key", True, "SN-1 and SN-2 are signed by one key")
    leads = "the 4 events behind SN-1 are the first of the 5 behind SN-2"
    assert compare(short, long) == [one, Check("one history", True, leads)]
    assert compare(long, short)[1:] == [Check("one history", True, leads)]
    assert compare(short, short)[1:] == [Check("one history", True, "both heads are the same")]
    assert [check.words for check in verify(PDF, SEAL)][2:6] == [
        "the head of 5 events is signed",
        "all 3 events are among the 5 of the signed head",
        "SN-1 was released in event 4",
        "2 earlier heads lead to this one",
    ]


def test_two_keys_are_said_by_the_beginnings_of_their_ids() -> None:
    """Whichever of the two public keys is the larger number."""
    seals = []
    for seed in (SEED, DEMO_SEED):
        seal, _ = read_seal(make_seal("SN-1", PDF, OWN, WHOLE, AT, seed))
        assert seal is not None
        seals.append(seal)
    ids = [key_id(public_key(seed)) for seed in (SEED, DEMO_SEED)]
    for a, b in ((0, 1), (1, 0)):
        first = compare(seals[a], seals[b])[0]
        words = f"SN-1 and SN-1 are signed by two keys, {ids[a][:16]}… and {ids[b][:16]}…"
        assert first == Check("same key", False, words)


@pytest.mark.parametrize("root", ["00" * 32, "ff" * 32])
def test_a_head_with_another_root_than_the_one_carried_is_a_fork(root: str) -> None:
    """Below the right root and above it: of one size, and where the longer seal carries a head of that size."""
    first = _seal("SN-1", tree(*EVENTS[:4]), [EVENTS[3]], [])
    other = replace(first, head=sign_head(Head(4, root), AT, SEED))
    second = _seal("SN-2", WHOLE, [EVENTS[4]], HEADS[:4])
    for a, b in ((first, other), (other, first), (other, second), (second, other)):
        assert "two roots for 4 events" in {check.name: check.words for check in compare(a, b)}["one history"]


@pytest.mark.parametrize("root", ["00" * 32, "ff" * 32])
def test_an_earlier_head_with_another_root_is_not_carried(root: str) -> None:
    assert json.loads(make_seal("SN-1", PDF, OWN, WHOLE, AT, SEED, [Head(2, root)]))["earlier"] == []


def test_a_proof_that_does_not_lead_from_head_to_head_is_said() -> None:
    first = _seal("SN-1", tree(*EVENTS[:3]), [EVENTS[2]], [])
    second = _seal("SN-2", WHOLE, [EVENTS[4]], HEADS[:4])
    ((head, proof),) = [each for each in second.earlier if each[0].size == 3]
    assert compare(first, second)[-1].ok
    cut = replace(second, earlier=((head, proof[1:]),))
    assert compare(first, cut)[-1] == Check("one history", False, "the consistency proof does not hold")


def test_a_fork_shows_between_two_seals_at_the_first_event_that_differs() -> None:
    """Whether the hash of the event here is below that of the event there or above it."""
    orders = set()
    for turn in range(8):
        forked = [EVENTS[0], *(event(seq, f"turn {turn}", "SN-1") for seq in (2, 3)), EVENTS[3]]
        first, second = (_seal("SN-1", tree(*some), some, []) for some in (EVENTS[:4], forked))
        found = {check.name: check.words for check in compare(first, second)}
        assert "event 2 differs between SN-1 and SN-1" in found["same events"]
        orders.add(leaf_hash(canonical(EVENTS[1])) < leaf_hash(canonical(forked[1])))
    assert orders == {True, False}


def test_a_history_of_more_events_than_a_byte_counts_is_proven_alike() -> None:
    many = [event(seq, "release") for seq in range(1, 601)]
    over = {size: tree(*many[:size]) for size in (300, 600)}
    heads = [Head(size, over[size].root().hex()) for size in (300, 600)]
    first = _seal("SN-1", over[300], many[298:300], [])
    second = _seal("SN-1", over[600], many[256:300], heads)
    assert all(check.ok for check in [*compare(first, second), *compare(second, second)])
    again = _seal("SN-1", tree(*many[:300]), many[298:300], [])
    assert all(check.ok for check in compare(first, again))
    sealed = make_seal("SN-1", PDF, many[256:300], over[600], AT, SEED, heads)
    assert all(check.ok for check in verify(PDF, sealed))


def test_a_fork_shows_between_two_seals() -> None:
    first = _seal("SN-1", tree(*EVENTS[:4]), [EVENTS[3]], [])
    forked = [*EVENTS[:3], event(4, "release", "SN-9"), event(5, "release", "SN-2")]
    other = tree(*forked)
    second = _seal("SN-2", other, forked[3:], [Head(size, other.root(size).hex()) for size in range(1, 6)])
    bad = {check.name: check.words for check in compare(first, second) if not check.ok}
    assert "event 4 differs" in bad["same events"]
    assert "two roots for 4 events" in bad["one history"]


def test_without_a_proof_between_the_heads_two_files_cannot_tell() -> None:
    first, second = _seal("SN-1", tree(*EVENTS[:4]), [EVENTS[3]], []), _seal("SN-2", WHOLE, [EVENTS[4]], [])
    (check,) = [check for check in compare(first, second) if not check.ok]
    assert "ask the shop" in check.words


def test_earlier_heads_of_another_record_are_not_carried() -> None:
    seal, _ = read_seal(
        make_seal("SN-1", PDF, OWN, WHOLE, AT, SEED, [Head(2, "11" * 32), Head(9, "22" * 32)])
    )
    assert seal is not None
    assert seal.earlier == ()


def test_key_files_round_trip_and_are_checked() -> None:
    assert read_key(write_key(SEED)) == (SEED, [])
    wrong = write_key(SEED).replace(SEED.hex(), DEMO_SEED.hex())
    for text in (wrong, "", "rackwright/key/1", write_key(SEED).upper()):
        seed, faults = read_key(text)
        assert seed is None
        assert faults[0].code == "RW604"


def test_signed_head_round_trips_and_covers_each_field() -> None:
    signed = sign_head(HEADS[2], AT, SEED)
    assert signed.holds()
    assert signed.key_id == KEY_ID
    plain = signed.to_json()
    assert read_signed_head(plain) == signed
    changes = (
        ("at", "2031-05-04T13:00:01Z"),
        ("size", 4),
        ("root", "00" * 32),
        ("public", public_key(DEMO_SEED).hex()),
    )
    for name, value in changes:
        assert not read_signed_head(plain | {name: value}).holds()


@pytest.mark.parametrize("format", ["rackwright/head/0", "rackwright/head/2", "", None])
def test_a_signed_head_of_another_format_is_refused(format: Any) -> None:
    with pytest.raises(Malformed) as caught:
        read_signed_head(sign_head(HEADS[0], AT, SEED).to_json() | {"format": format}, "/head")
    assert caught.value.place == "/head/format"


@pytest.mark.parametrize("format", ["rackwright/seal/0", "rackwright/seal/9", "", "zzz"])
def test_a_seal_of_another_format_is_refused(format: str) -> None:
    seal, faults = read_seal(resealed({"format": format}))
    assert seal is None
    assert "rackwright/seal/1 must stand" in faults[0].found


@pytest.mark.parametrize("size", [-1, 2**53, 1.0, True, "1", None])
def test_a_signed_head_of_a_size_that_is_none_is_refused(size: Any) -> None:
    with pytest.raises(Malformed) as caught:
        read_signed_head(sign_head(HEADS[0], AT, SEED).to_json() | {"size": size}, "/head")
    assert caught.value.place == "/head/size"


@pytest.mark.parametrize("size", [0, 2**53 - 1])
def test_a_signed_head_of_the_least_and_the_largest_size_is_read(size: int) -> None:
    signed = sign_head(Head(size, "0" * 64), AT, SEED)
    assert read_signed_head(signed.to_json()) == signed


def test_a_record_of_nothing_has_the_empty_head_and_a_head_stays_as_it_is() -> None:
    assert Head() == Head(0, sha256(b"").hexdigest())
    assert str(HEADS[1]) == f"2 events, root {HEADS[1].root[:16]}…"
    for one, name in ((HEADS[0], "size"), (sign_head(HEADS[0], AT, SEED), "at"), (verify(PDF, SEAL)[0], "ok"),
                      (_seal("SN-1", WHOLE, OWN, []), "serial"), (WHOLE.peaks(3), "size")):  # fmt: skip
        with pytest.raises(FrozenInstanceError):
            setattr(one, name, getattr(one, name))


def test_without_its_library_nothing_is_signed_and_that_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "cryptography.hazmat.primitives.asymmetric", None)
    with pytest.raises(Stopped) as caught:
        public_key(SEED)
    assert caught.value.troubles[0].code == "RW603"


def test_a_new_key_is_32_bytes_that_were_not_there_before() -> None:
    seeds = {new_seed() for _ in range(3)}
    assert [len(seed) for seed in seeds] == [32, 32, 32]
    assert all(read_key(write_key(seed)) == (seed, []) for seed in seeds)


@pytest.mark.parametrize("digit", "0f")
def test_a_key_file_whose_id_is_not_of_its_seed_is_refused(digit: str) -> None:
    """Below the right id and above it."""
    seed, faults = read_key(write_key(SEED).replace(f"id {KEY_ID}", f"id {digit * 64}"), "shop.key")
    assert (seed, [(fault.code, fault.where) for fault in faults]) == (
        None,
        [("RW604", Where("shop.key", 2))],
    )


def test_earlier_heads_are_carried_once_and_none_of_nothing() -> None:
    nothing = Head(0, Tree().root().hex())
    again = make_seal("SN-1", PDF, OWN, WHOLE, AT, SEED, [HEADS[2], HEADS[0], HEADS[2], HEADS[4], nothing])
    assert [old["size"] for old in json.loads(again)["earlier"]] == [1, 3, 5]


@pytest.mark.parametrize(
    ("data", "found"),
    [(b"", "the file is empty"), (b"%PDF-1.7 invented\n", "the two files are swapped"),
     (b'{"format":', "the last line is not complete")],
)  # fmt: skip
def test_what_is_no_seal_says_what_it_is(data: bytes, found: str) -> None:
    seal, faults = read_seal(data, "SN-1.seal")
    assert seal is None
    assert [(fault.code, found in fault.found) for fault in faults] == [("RW602", True)]


@pytest.mark.parametrize(("length", "read"), [(0, True), (2**53 - 1, True), (2**53, False), (-1, False), (True, False),
                                              ("7", False), (len(PDF), True)])  # fmt: skip
def test_a_length_is_a_count(length: Any, read: bool) -> None:
    pdf = {"sha256": sha256(PDF).hexdigest(), "length": length}
    said = json.dumps(pdf, separators=(",", ":"), sort_keys=True).encode()
    line = SEAL.replace(canonical(json.loads(SEAL)["pdf"]), said)
    seal, faults = read_seal(line)
    assert (seal is not None) is read
    assert [fault.where.line for fault in faults] == [0] * (not read)


def test_the_signature_is_told_in_its_own_words() -> None:
    assert verify(PDF, SEAL)[1].words == "the seal is as it was signed"
    assert words(PDF, resealed({}, seed=DEMO_SEED))["signature"].startswith(
        "the seal was altered, or signed by another"
    )

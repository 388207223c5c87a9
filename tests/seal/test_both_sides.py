"""What is unlike is refused whichever of the two is larger, and counts that no small number shows hold too."""

from __future__ import annotations

import json
from hashlib import sha256
from itertools import count
from pathlib import Path
from typing import Any

import pytest

from rackwright.seal import (
    DEMO_SEED,
    Head,
    Malformed,
    canonical,
    is_demo,
    key_id,
    make_seal,
    public_key,
    read_canonical,
    sign_head,
    verify,
    verify_consistency,
)
from rackwright.seal.standalone import main
from rackwright.trouble import Stopped
from seal.test_dossier import AT, EVENTS, HEADS, OWN, PDF, SEAL, SEED, event, resealed, tree, words

SHOP = public_key(SEED)


def seed_whose_key(above: bool, other: bytes) -> bytes:
    """A seed whose public key stands above the other, or below."""
    seeds = (sha256(b"seed %d" % n).digest() for n in count())
    return next(seed for seed in seeds if (public_key(seed) > other) == above)


@pytest.mark.parametrize("above", [True, False])
def test_a_head_signed_by_another_key_than_the_seal(above: bool) -> None:
    stranger = seed_whose_key(above, SHOP)
    head = sign_head(HEADS[-1], AT, stranger).to_json()
    assert (
        words(PDF, resealed({"head": head}))["head"] == "the tree head is signed by another key than the seal"
    )


@pytest.mark.parametrize("id", ["00" * 32, "ff" * 32])
def test_a_key_id_that_is_not_of_the_key(id: str) -> None:
    seal = resealed({"key": {"id": id, "public": SHOP.hex()}})
    assert words(PDF, seal)["key"] == "the key id is not that of the public key"


def test_the_demo_mark_goes_with_the_demo_key_and_no_other() -> None:
    assert words(PDF, resealed({"mark": "DEMO"}))["key"] == "the DEMO mark does not go with the key"
    public = public_key(DEMO_SEED)
    head = sign_head(HEADS[-1], AT, DEMO_SEED).to_json()
    change = {"mark": "", "head": head, "key": {"id": key_id(public), "public": public.hex()}}
    assert words(PDF, resealed(change, DEMO_SEED))["key"] == "the DEMO mark does not go with the key"
    for above in (True, False):
        assert not is_demo(public_key(seed_whose_key(above, public)))


@pytest.mark.parametrize("change", [{"serial": 5}, {"mark": "X"}, {"serial": None, "mark": "X"}])
def test_serial_and_mark_are_text(change: dict[str, Any]) -> None:
    with pytest.raises(Stopped, match="RW602"):
        verify(PDF, resealed(change))


@pytest.mark.parametrize("order", [[1, 0, 2], [0, 0, 1]])
def test_events_of_a_seal_stand_in_their_order(order: list[int]) -> None:
    events = json.loads(SEAL)["events"]
    with pytest.raises(Stopped, match="not in the order"):
        verify(PDF, resealed({"events": [events[n] for n in order]}))


def test_no_event_stands_before_the_first() -> None:
    first, *rest = json.loads(SEAL)["events"]
    with pytest.raises(Stopped, match="not in the order"):
        verify(PDF, resealed({"events": [first | {"event": first["event"] | {"seq": 0}}, *rest]}))


def test_a_dossier_longer_than_a_small_number_is_whole() -> None:
    pdf = PDF * 20
    seal = make_seal("SN-1", pdf, OWN, tree(*EVENTS), AT, SEED)
    assert words(pdf, seal) == {}
    assert f"the PDF has {len(pdf) + 1} bytes" in words(pdf + b"\n", seal)["pdf"]


def test_a_rack_released_again_is_told_by_its_last_release() -> None:
    events = [event(1), event(2, "release"), event(3), event(4, "release")]
    checks = verify(PDF, make_seal("SN-1", PDF, events, tree(*events), AT, SEED))
    assert [check.words for check in checks if check.name == "serial"] == ["SN-1 was released in event 4"]


def test_a_head_of_less_than_nothing_is_not_carried() -> None:
    seal = make_seal("SN-1", PDF, OWN, tree(*EVENTS), AT, SEED, [Head(-1, "00" * 32), HEADS[2]])
    assert [one["size"] for one in json.loads(seal)["earlier"]] == [3]


def test_a_key_named_twice_is_said_and_an_object_of_many_is_read() -> None:
    with pytest.raises(Malformed, match="names a key twice"):
        read_canonical(b'{"a":1,"a":1}')
    many = {f"{n:04}": n for n in range(600)}
    assert read_canonical(canonical(many)) == many


def test_depth_is_of_objects_and_lists_together() -> None:
    """Forty objects and forty lists in turn are eighty deep, though neither alone is more than 64."""
    with pytest.raises(Malformed, match="deeper than 64"):
        read_canonical(b'{"a":[' * 40 + b"]}" * 40)


def test_no_tree_is_smaller_than_nothing() -> None:
    for old in (-1, -2):
        assert not verify_consistency(old, b"", 0, b"", [])
        assert not verify_consistency(old, b"", 3, b"", [])


def test_both_options_of_the_one_file_in_any_order(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    pdf, other = tmp_path / "SN-1.pdf", tmp_path / "again.seal"
    pdf.write_bytes(PDF)
    for path in (tmp_path / "SN-1.seal", other):
        path.write_bytes(SEAL)
    for options in (
        ["--key", SHOP.hex(), "--against", str(other)],
        ["--against", str(other), "--key", SHOP.hex()],
    ):
        assert main([str(pdf), *options]) == 0
        told = capsys.readouterr().out
        assert "it is the trusted key you gave" in told
        assert "one history" in told
    assert main(["--key", SHOP.hex()]) == 2

"""`SERIAL.seal`, the proof that travels beside `SERIAL.pdf`: made, read, verified, two compared.

A proof inside a PDF could not cover that PDF's own bytes, so it is a second file: canonical JSON
(`rackwright/seal/1`) with the SHA-256 and length of the PDF, the serial's events as recorded, an
inclusion proof for each, the signed tree head they lead to, consistency proofs from earlier heads,
and the shop's public key. The whole is signed. The PDF is hashed, never parsed.

What verification can show: nothing was altered since that key signed. Whose key it is, only a key
id that came another way can tell; the answer says which of the two was the case.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import Any

from rackwright.seal.canonical import MAX_INT, Malformed, canonical, read_canonical
from rackwright.seal.handover import Trust
from rackwright.seal.head import Head, SignedHead, read_signed_head, sign_head
from rackwright.seal.keys import check_signature, is_demo, is_hex, key_id, public_key, sign
from rackwright.seal.merkle import Tree, leaf_hash, verify_consistency, verify_inclusion
from rackwright.trouble import Fault, Stopped, Where

__all__ = ["FORMAT", "Check", "Seal", "compare", "make_seal", "read_seal", "verify"]

FORMAT = "rackwright/seal/1"
DEMO = "DEMO"


@dataclass(frozen=True)
class Check:
    """One thing that was checked, the answer, and the answer in words."""

    name: str
    ok: bool
    words: str


@dataclass(frozen=True)
class Seal:
    """A seal as read: well formed, nothing verified yet. Hashes and keys in hex.

    `events` are the recorded envelopes with their inclusion proofs; `earlier` the heads of this record
    seen before, each with its consistency proof to `head`.
    """

    serial: str
    mark: str
    pdf_sha256: str
    pdf_length: int
    events: tuple[tuple[dict[str, Any], tuple[str, ...]], ...]
    head: SignedHead
    earlier: tuple[tuple[Head, tuple[str, ...]], ...]
    key_id: str
    public: str
    signature: str
    signed: bytes  # what the signature covers


def make_seal(
    serial: str,
    pdf: bytes,
    events: Sequence[Mapping[str, Any]],
    tree: Tree,
    at: str,
    seed: bytes,
    earlier: Iterable[Head] = (),
) -> bytes:
    """The bytes of `SERIAL.seal`.

    `events`: the serial's recorded envelopes (`Event.to_json()`); `tree`: over the whole record
    (`Record.tree()`); `at`: the time the shop says it signs; `earlier`: heads that left the building
    before (roots are taken from the tree, so a head that is not of this record is left out).
    """
    head = sign_head(Head(tree.size, tree.root().hex()), at, seed)
    olds = sorted(
        {old for old in earlier if 0 < old.size <= tree.size and tree.root(old.size).hex() == old.root}
    )
    body: dict[str, Any] = {
        "format": FORMAT,
        "serial": serial,
        "mark": DEMO if is_demo(public_key(seed)) else "",
        "pdf": {"sha256": sha256(pdf).hexdigest(), "length": len(pdf)},
        "events": [
            {"event": dict(event), "proof": [step.hex() for step in tree.inclusion(event["seq"] - 1)]}
            for event in sorted(events, key=lambda event: int(event["seq"]))
        ],
        "head": head.to_json(),
        "earlier": [
            {"size": old.size, "root": old.root, "proof": [step.hex() for step in tree.consistency(old.size)]}
            for old in olds
        ],
        "key": {"id": head.key_id, "public": head.public},
    }
    return canonical({**body, "signature": sign(seed, canonical(body)).hex()}) + b"\n"


def read_seal(data: bytes, file: str = "seal") -> tuple[Seal | None, list[Fault]]:
    """The seal in these bytes, or why they are none (RW602)."""
    try:
        if not data or data.startswith(b"%PDF"):
            raise Malformed("", "a PDF: the two files are swapped" if data else "the file is empty")
        if not data.endswith(b"\n"):
            raise Malformed("", "the last line is not complete")
        return _seal(read_canonical(data[:-1])), []
    except Malformed as error:
        return None, [
            Fault("RW602", Where(file, 0, error.place), f"not a seal: {error.found}",
                  "give SERIAL.pdf with SERIAL.seal beside it, as the shop sent them")
        ]  # fmt: skip


def verify(
    pdf: bytes, seal: bytes, trusted_key: str | None = None, file: str = "seal", trust: Trust | None = None
) -> list[Check]:
    """Is this dossier whole, and who signed it? One check each, in the order a person would ask.

    `trusted_key`: a key id (or public key, hex) that came from the shop by another way than the seal.
    `trust`: handovers and revocations (`read_keys`), by which an earlier or a later key of the shop may be given.
    The dossier is good when every check is ok. Raises Stopped (RW602: not a seal; RW604: not a key id;
    RW603: no cryptography package).
    """
    found, faults = read_seal(seal, file)
    if trusted_key is not None and not is_hex(trusted_key, 32):
        faults.append(
            Fault("RW604", Where("key"), f"{trusted_key!r:.80} is not a key id", "give its 64 hex digits")
        )
    if found is None or faults:
        raise Stopped(faults)
    return [
        _check_pdf(pdf, found),
        _check_signature(found),
        _check_head(found),
        _check_events(found),
        _check_serial(found),
        _check_earlier(found),
        _check_key(found, trusted_key, trust or Trust()),
    ]


def compare(a: Seal, b: Seal) -> list[Check]:
    """Are two seals of one record that was only ever appended to? (Each is to be verified by itself too.)"""
    same_key = a.public == b.public
    keys = "one key" if same_key else f"two keys, {a.key_id[:16]}… and {b.key_id[:16]}…"
    checks = [Check("same key", same_key, f"{a.serial} and {b.serial} are signed by {keys}")]
    old, new = sorted((a, b), key=lambda seal: seal.head.head.size)
    here = {event["seq"]: leaf_hash(canonical(event)) for event, _ in old.events}
    there = {event["seq"]: leaf_hash(canonical(event)) for event, _ in new.events}
    forked = sorted(seq for seq in here.keys() & there.keys() if here[seq] != there[seq])
    if forked:
        words = f"event {forked[0]} differs between {old.serial} and {new.serial}: the record was forked"
        checks.append(Check("same events", False, words))
    checks.append(_one_history(old, new))
    return checks


def _one_history(old: Seal, new: Seal) -> Check:
    name, first, second = "one history", old.head.head, new.head.head
    if first.size == second.size:
        same = first.root == second.root
        words = (
            "both heads are the same" if same else f"two roots for {first.size} events: the record was forked"
        )
        return Check(name, same, words)
    known = {head.size: (head, proof) for head, proof in new.earlier}
    if first.size not in known:
        words = (
            f"{new.serial} carries no proof from the head on {old.serial} ({first.size} events): "
            "these two files alone cannot show it; ask the shop to audit against this head"
        )
        return Check(name, False, words)
    head, proof = known[first.size]
    if head.root != first.root:
        return Check(name, False, f"two roots for {first.size} events: the record was forked or rewritten")
    whole = verify_consistency(
        first.size, _raw(first.root), second.size, _raw(second.root), [*map(_raw, proof)]
    )
    words = (
        f"the {first.size} events behind {old.serial} are the first of the {second.size} behind {new.serial}"
    )
    return Check(name, whole, words if whole else "the consistency proof does not hold")


# --- the checks of one dossier -------------------------------------------------------------------


def _check_pdf(pdf: bytes, seal: Seal) -> Check:
    if len(pdf) != seal.pdf_length:
        return Check("pdf", False, f"the PDF has {len(pdf)} bytes, the seal was made for {seal.pdf_length}")
    ok = sha256(pdf).hexdigest() == seal.pdf_sha256
    return Check(
        "pdf", ok, "the PDF is the one that was sealed" if ok else "the PDF was altered after sealing"
    )


def _check_signature(seal: Seal) -> Check:
    ok = check_signature(_raw(seal.public), _raw(seal.signature), seal.signed)
    words = (
        "the seal is as it was signed"
        if ok
        else "the seal was altered, or signed by another key than it names"
    )
    return Check("signature", ok, words)


def _check_head(seal: Seal) -> Check:
    if seal.head.public != seal.public:
        return Check("head", False, "the tree head is signed by another key than the seal")
    ok = seal.head.holds()
    words = (
        f"the head of {seal.head.head.size} events is signed" if ok else "the head's signature does not hold"
    )
    return Check("head", ok, words)


def _check_events(seal: Seal) -> Check:
    head = seal.head.head
    for event, proof in seal.events:
        leaf, steps = leaf_hash(canonical(event)), [*map(_raw, proof)]
        if not verify_inclusion(leaf, event["seq"] - 1, head.size, steps, _raw(head.root)):
            return Check("events", False, f"event {event['seq']} is not the one the signed head covers")
    return Check(
        "events", True, f"all {len(seal.events)} events are among the {head.size} of the signed head"
    )


def _check_serial(seal: Seal) -> Check:
    named = [
        event for event, _ in seal.events
        if event.get("type") == "release" and seal.serial in event.get("refs", {}).get("serials", [])
    ]  # fmt: skip
    if named:
        return Check("serial", True, f"{seal.serial} was released in event {named[-1]['seq']}")
    return Check("serial", False, f"no event here releases {seal.serial}")


def _check_earlier(seal: Seal) -> Check:
    head = seal.head.head
    for old, proof in seal.earlier:
        if not verify_consistency(old.size, _raw(old.root), head.size, _raw(head.root), [*map(_raw, proof)]):
            return Check("earlier", False, f"the head of {old.size} events does not lead to this one")
    return Check("earlier", True, f"{len(seal.earlier)} earlier heads lead to this one")


def _check_key(seal: Seal, trusted: str | None, trust: Trust) -> Check:
    if key_id(_raw(seal.public)) != seal.key_id:
        return Check("key", False, "the key id is not that of the public key")
    demo = is_demo(_raw(seal.public))
    if demo != (seal.mark == DEMO):
        return Check("key", False, "the DEMO mark does not go with the key")
    who = f"signed by key {seal.key_id}" + (
        ", the DEMO key, which is known to everyone: it proves nothing about who signed" if demo else ""
    )
    gone, size = trust.revoked(seal.key_id), seal.head.head.size
    if gone is not None and size > gone.size:
        return Check("key", False, f"{who}, {gone.words}; this dossier is of {size} events")
    who += f"; that key is {gone.words}, and this dossier is of before, {size} events" if gone else ""
    if trusted is None:
        words = (
            "the key was taken from the seal itself: compare its id with one the shop gave you another way"
        )
        return Check("key", True, f"{who}; {words}")
    if trusted in (seal.key_id, seal.public):
        return Check("key", True, f"{who}; it is the trusted key you gave")
    if trust.joins(trusted, seal.key_id):
        return Check("key", True, f"{who}; signed handovers join it to the trusted key you gave ({trusted})")
    return Check("key", False, f"{who}; this is not the trusted key you gave ({trusted})")


# --- reading -------------------------------------------------------------------------------------


def _seal(value: Any) -> Seal:
    _fields(value, "", "format serial mark pdf events head earlier key signature")
    if value["format"] != FORMAT:
        raise Malformed("/format", f"{value['format']!r:.60} where {FORMAT} must stand")
    if not isinstance(value["serial"], str) or value["mark"] not in ("", DEMO):
        raise Malformed("/serial", "serial and mark must be text")
    _fields(value["pdf"], "/pdf", "sha256 length")
    _fields(value["key"], "/key", "id public")
    return Seal(
        serial=value["serial"],
        mark=value["mark"],
        pdf_sha256=_hex(value["pdf"]["sha256"], 32, "/pdf/sha256"),
        pdf_length=_count(value["pdf"]["length"], "/pdf/length"),
        events=_events(value["events"]),
        head=read_signed_head(value["head"], "/head"),
        earlier=_earlier(value["earlier"]),
        key_id=_hex(value["key"]["id"], 32, "/key/id"),
        public=_hex(value["key"]["public"], 32, "/key/public"),
        signature=_hex(value["signature"], 64, "/signature"),
        signed=canonical({name: value[name] for name in value if name != "signature"}),
    )


def _events(value: Any) -> tuple[tuple[dict[str, Any], tuple[str, ...]], ...]:
    events, last = [], 0
    for i, item in enumerate(_list(value, "/events")):
        place = f"/events/{i}"
        _fields(item, place, "event proof")
        event = item["event"]
        if not isinstance(event, dict) or not isinstance(event.get("refs"), dict):
            raise Malformed(f"{place}/event", "not an event")
        _list(event["refs"].get("serials"), f"{place}/event/refs/serials")
        seq = _count(event.get("seq"), f"{place}/event/seq")
        if seq <= last:
            raise Malformed(f"{place}/event/seq", "events are not in the order they were recorded")
        last = seq
        events.append((event, _proof(item["proof"], f"{place}/proof")))
    return tuple(events)


def _earlier(value: Any) -> tuple[tuple[Head, tuple[str, ...]], ...]:
    heads = []
    for i, item in enumerate(_list(value, "/earlier")):
        place = f"/earlier/{i}"
        _fields(item, place, "size root proof")
        head = Head(_count(item["size"], f"{place}/size"), _hex(item["root"], 32, f"{place}/root"))
        heads.append((head, _proof(item["proof"], f"{place}/proof")))
    return tuple(heads)


def _proof(value: Any, place: str) -> tuple[str, ...]:
    return tuple(_hex(step, 32, f"{place}/{i}") for i, step in enumerate(_list(value, place)))


def _fields(value: Any, place: str, names: str) -> None:
    if not isinstance(value, dict) or set(value) != set(names.split()):
        raise Malformed(place, f"must have exactly the fields {names.replace(' ', ', ')}")


def _list(value: Any, place: str) -> list[Any]:
    if not isinstance(value, list):
        raise Malformed(place, "not a list")
    return value


def _hex(value: Any, size: int, place: str) -> str:
    if not is_hex(value, size):
        raise Malformed(place, f"not {size} bytes in lower-case hex")
    return str(value)


def _count(value: Any, place: str) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or not 0 <= value <= MAX_INT:
        raise Malformed(place, "not a count")
    return value


def _raw(text: str) -> bytes:
    return bytes.fromhex(text)

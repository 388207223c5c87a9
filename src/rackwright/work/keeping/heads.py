"""Heads that left the building, read from the seals beside the dossiers, and the audit that compares with them.

A record can only be compared with what lies outside it: a cut tail, a rewritten history and a fork are whole in
themselves. Every dossier carries a signed head. A head counts as seen when its seal is signed by the shop's key;
a seal that is broken or signed by another key is itself a finding.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from rackwright.record import Audit, Event, State, audit, read_export
from rackwright.record.fold_people import BY_SESSION
from rackwright.record.history import compare_heads
from rackwright.record.keys import KEY_EVENTS, trust_of
from rackwright.seal import Head, Malformed, Seal, Trust, read_canonical, read_seal, read_signed_head
from rackwright.seal.keys import check_signature
from rackwright.trouble import Refusal, Stopped, Trouble, Where
from rackwright.work.keeping.hindsight import in_hindsight, judged
from rackwright.work.keeping.shop_folder import KEY, PAPERS, open_record, trusted_key
from rackwright.work.office.answers import changed_answers
from rackwright.work.run import shared

__all__ = [
    "Outside",
    "Seen",
    "audit_export_file",
    "audit_folder",
    "seals_below",
    "signed_words",
    "signing_rule",
    "strange_key",
    "words_of",
]

Seen = tuple[Head, str]  # a head, and what it stands on


@dataclass(frozen=True)
class Outside:
    """What the seals of a folder say: heads to compare with, and seals that say nothing."""

    heads: tuple[Seen, ...]
    troubles: tuple[Trouble, ...]


def seals_below(
    folder: Path, trusted: str | None, elsewhere: Iterable[Path] = (), trust: Trust | None = None
) -> Outside:
    """Every `*.seal`, and every `*.head` of travelers and labels, below the folder and those `elsewhere`, by name.

    `trusted`: the id of the key they must carry, or one that the handovers of `trust` join to it, not revoked.
    """
    heads: list[Seen] = []
    troubles: list[Trouble] = []
    for path in sorted({path for each in (folder, *elsewhere) for path in each.rglob("*.seal")}):
        try:
            seal, faults = read_seal(path.read_bytes(), str(path))
        except OSError as error:
            found = f"the seal cannot be read: {error.strerror}"
            troubles.append(Refusal("RW601", Where(str(path)), found, "look at the file"))
            continue
        if seal is None:
            troubles += [
                Refusal("RW601", f.where, f"the seal is broken: {f.found}", "restore it") for f in faults
            ]
        elif words := _doubt(seal, trusted, trust or Trust()):
            troubles.append(Refusal("RW601", Where(str(path)), words, "ask where this seal comes from"))
        else:
            gone = trust.revoked(seal.key_id) if trust else None
            told = f"; its key is {gone.words}" if gone else ""
            heads.append((seal.head.head, f"the dossier of {seal.serial} ({path}{told})"))
    for path in sorted({path for each in (folder, *elsewhere) for path in each.rglob("*.head")}):
        try:
            signed = read_signed_head(read_canonical(path.read_bytes().removesuffix(b"\n")))
        except (OSError, Malformed) as error:
            found = f"the signed head cannot be read: {error}"
            troubles.append(Refusal("RW601", Where(str(path)), found, "restore it"))
            continue
        words = (trust or Trust()).doubt(trusted, signed.key_id, signed.head.size)
        if words or not signed.holds():
            found = f"this head is {words}" if words else "the signature of this head does not hold"
            troubles.append(Refusal("RW601", Where(str(path)), found, "ask where this head comes from"))
        else:
            heads.append((signed.head, f"the paper beside {path}"))
    return Outside(tuple(heads), tuple(troubles))


def _doubt(seal: Seal, trusted: str | None, trust: Trust) -> str:
    """Why a seal says nothing; "" where it does."""
    public, signature = bytes.fromhex(seal.public), bytes.fromhex(seal.signature)
    if not check_signature(public, signature, seal.signed) or not seal.head.holds():
        return "the signature of this seal does not hold"
    words = trust.doubt(trusted, seal.head.key_id, seal.head.head.size)
    return f"this seal is {words}".replace("the trusted key", "the shop's key") if words else ""


def audit_folder(folder: str | Path, elsewhere: Iterable[Path] = ()) -> Audit:
    """Audit a shop's record: whole, balanced by the judges of `work`, believed by its key and all seals found.

    Seals are looked for among the shop's papers and in the folders `elsewhere`. Raises Stopped only where there
    is no record at all.
    """
    folder = Path(folder)
    with open_record(folder) as record:
        key_troubles: tuple[Trouble, ...] = ()
        trusted, trust = None, Trust()
        try:
            founding = record.of_types("found", most=1)
            trusted = trusted_key(folder, founding)
            trust = trust_of(record.of_types(*KEY_EVENTS))
            key_troubles = strange_key(folder, founding, trusted, trust)
        except Stopped as stopped:  # an altered event hides the founding; the audit itself says which
            key_troubles = tuple(t for t in stopped.troubles if t.code in ("RW604", "RW002"))
        outside = seals_below(folder / PAPERS, trusted, elsewhere, trust)
        found = audit(record, outside.heads, _judge, trusted, shared)
    return replace(found, believed=found.believed + outside.troubles + key_troubles)


def strange_key(
    folder: Path, founding: Sequence[Event], present: str | None, trust: Trust
) -> tuple[Trouble, ...]:
    """The key beside a record is the one that it was founded with, or that handovers join to it: else one of the two
    was put in the other's place."""
    named = founding[0].body.get("key_id", "") if founding else ""
    if not named or not present or not trust.doubt(named, present, 0):
        return ()
    found = f"key {present} lies beside a record that was founded with {named}: the record or the key is another's"
    do = "put back the shop's own key, and compare the record with a backup and with the dossiers sent"
    return (Refusal("RW604", Where(str(folder / KEY)), found, do),)


def _judge(events: Sequence[Event], steps: Iterable[tuple[Event, State]]) -> Iterator[Refusal | str]:
    """What `work` finds in a whole history, and in words who signed, what was counted and answers that changed."""
    found, counts, state = judged(events, steps)
    yield from found
    yield f"{signed_words(events)}; {signing_rule(events)}"
    yield from (one.words for one in changed_answers(events, state))
    yield from (one.words for one in counts)


def audit_export_file(data: bytes, file: str, papers: Path, elsewhere: Iterable[Path] = ()) -> Audit:
    """Audit an export as far as a text can be: files named by events are not in it. Seals as `audit_folder`.

    Raises Stopped (RW508) where it is no export at all.
    """
    history, signed, troubles = read_export(data, file)
    if history is None:
        raise Stopped(troubles)
    founded = next((event for event in history.events if event.type == "found"), None)
    outside = seals_below(
        papers, founded.body.get("key_id") if founded else None, elsewhere, trust_of(history.events)
    )
    believed = (*compare_heads(history.tree, outside.heads, file), *outside.troubles)
    balanced = () if troubles else tuple(in_hindsight(history.events))
    checked = (
        f"{history.head.size} lines: canonical form, order, act ids, root",
        f"{len(outside.heads)} heads from seals" + (", and the export's own signed head" if signed else ""),
        "files named by events are not in an export and were not looked at",
    )
    return Audit(history.head, tuple(troubles), balanced, believed, checked)


_KNOWN_BY = {BY_SESSION: "session (taps of a visit whose beginning was signed)"}


def signed_words(events: Sequence[Event]) -> str:
    """By what the people of all acts were known."""
    known = Counter(
        {event.act_id: event.known.signed for event in events if event.type != "refusal"}.values()
    )
    signed = ", ".join(
        f"{count} by {_KNOWN_BY.get(kind, kind)}" for kind, count in sorted(known.items()) if kind
    )
    return f"{sum(known.values())} acts: {signed or 'none signed'}; {known['']} by name only"


def signing_rule(events: Sequence[Event]) -> str:
    """Whether acts are to be signed, since when, and by whose word and why not."""
    rule = "acts were never required to be signed"
    for event in events:
        if event.type == "found" and event.body.get("signatures"):
            rule = f"every act is to be signed since event {event.seq}"
        elif event.type == "signatures":
            must = "every act is to be signed" if event.body["required"] else "acts need not be signed"
            rule = f"{must} since event {event.seq}, by {event.by}: {event.body['reason']}"
    return rule


def words_of(found: Audit) -> Sequence[tuple[str, bool | None]]:
    """The three words with their answers; balances are asked only of a whole record."""
    balanced = None if found.whole else not found.balanced
    return (("whole", not found.whole), ("balanced", balanced), ("believed", not found.believed))

"""A record as text: canonical JSON lines, byte-identical for identical histories.

    {"format":"rackwright/export/1","leaves":…,"root":…,"size":N}    header; "signed_head" where one is given
    {"act_id":…,…}                                              one envelope a line, N lines

Every line ends with one line feed. Any altered byte is found: a line that is not canonical JSON, an
event that changes the root, a header that does not fit. The root proves it; `leaves`, the first four bytes of
each event's leaf hash, only say which event it was. Files (certificates, frozen texts) are not in the export; the
events name them by hash.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from rackwright.record.envelope import Event, read_event
from rackwright.record.history import History, altered, compare_heads, walk
from rackwright.record.rows import Row
from rackwright.record.store import Record, create
from rackwright.seal import (
    Head,
    Malformed,
    Peaks,
    SignedHead,
    canonical,
    read_canonical,
    read_signed_head,
)
from rackwright.trouble import Fault, Refusal, Stopped, Trouble, Where

__all__ = ["FORMAT", "audit_export", "export_lines", "import_export", "read_export"]

FORMAT = "rackwright/export/1"
_SHORT = 4  # bytes of each leaf hash in the header


def export_lines(events: Sequence[Event], signed: SignedHead | None = None) -> Iterator[bytes]:
    """The lines of the export of a whole history (`record.events()`), each with its line feed.

    `signed`: a signed head of exactly these events; then the export carries it (and its time).
    Raises ValueError where it is a head of something else.
    """
    peaks, leaves = Peaks(), list[str]()
    for event in events:
        leaf = event.leaf()
        peaks = peaks.add(leaf)
        leaves.append(leaf[:_SHORT].hex())
    head = Head(peaks.size, peaks.root.hex())
    header = {"format": FORMAT, "size": head.size, "root": head.root, "leaves": "".join(leaves)}
    if signed is not None:
        if signed.head != head:
            raise ValueError(f"the signed head is of {signed.head}, the export of {head}")
        header["signed_head"] = signed.to_json()
    yield canonical(header) + b"\n"
    for event in events:
        yield event.canonical() + b"\n"


def read_export(data: bytes, file: str = "export") -> tuple[History | None, SignedHead | None, list[Trouble]]:
    """What an export holds and everything wrong with it. (None, None, [RW508]) where it is none at all."""
    first, _, rest = data.partition(b"\n")
    try:
        header, leaves, signed = _header(first)
    except Malformed as error:
        do = "give a file written by `rackwright export`"
        return None, None, [Fault("RW508", Where(file, 1, error.place), f"not an export: {error.found}", do)]
    lines = rest.split(b"\n")
    history = walk(_lines(lines[:-1]), file)
    troubles: list[Trouble] = list(history.findings)
    if lines[-1]:
        troubles.append(altered(file, len(lines), "the last line is not complete", len(lines) + 1))
    # an altered act id lets the event after it look wrong: the leaves know which was the first
    named = _named(history, header, leaves, file)
    if named and (not troubles or named[0].where.field != troubles[0].where.field):
        troubles[:0] = named
    if history.head != header:
        words = f"the header names {header}, the lines give {history.head}"
        troubles.append(Refusal("RW505", Where(file, 1, "root"), words, "get a fresh export"))
    if signed is not None and (signed.head != header or not signed.holds()):
        words = "the signed head does not fit, or its signature does not hold"
        troubles.append(Refusal("RW505", Where(file, 1, "signed_head"), words, "get a fresh export"))
    return history, signed, troubles


def _named(history: History, header: Head, leaves: str, file: str) -> list[Trouble]:
    """The first event whose leaf is not that of the header's list: well formed, and still not what was recorded."""
    width, count = 2 * _SHORT, min(history.head.size, header.size)
    bad = (n for n, leaf in enumerate(history.tree.leaves()[:count])
           if leaf[:_SHORT].hex() != leaves[width * n : width * (n + 1)])  # fmt: skip
    first = next(bad, None)
    if history.head == header:
        fits = not leaves or (first is None and len(leaves) == width * count)
        words = "the list of leaves does not fit the events, which do fit the root"
        return [] if fits else [Refusal("RW505", Where(file, 1, "leaves"), words, "get a fresh export")]
    if first is None or not leaves:
        return []
    return [altered(file, first + 1, "it is not what was recorded (its leaf hash does not fit)", first + 2)]


def audit_export(data: bytes, seen: Iterable[tuple[Head, str]] = (), file: str = "export") -> list[Trouble]:
    """Everything wrong with an export; empty where it is whole. `seen`: heads seen outside, with where."""
    history, _, troubles = read_export(data, file)
    return troubles if history is None else [*troubles, *compare_heads(history.tree, seen, file)]


def import_export(data: bytes, path: str | os.PathLike[str], file: str = "export") -> Record:
    """A new record at `path` holding exactly the exported history. Raises Stopped with all that is wrong."""
    history, _, troubles = read_export(data, file)
    if history is None or troubles:
        raise Stopped(troubles)
    starts = [0, *(end for _, end in history.acts)]
    acts = (history.events[start:end] for start, end in pairwise(starts))
    return create(path, acts=acts)  # cut off, it leaves no record, rather than a shorter one


def _header(line: bytes) -> tuple[Head, str, SignedHead | None]:
    value = read_canonical(line)
    if not isinstance(value, dict) or value.get("format") != FORMAT:
        raise Malformed("/format", f"its first line does not say {FORMAT}")
    if set(value) - {"leaves", "signed_head"} != {"format", "size", "root"}:
        raise Malformed("", "its first line has other fields than format, leaves, size, root, signed_head")
    size, root = value["size"], value["root"]
    leaves = value.get("leaves", "")  # an early export has none; its root proves as much
    if not isinstance(size, int) or isinstance(size, bool):
        raise Malformed("/size", "size is not a number")
    if not isinstance(root, str) or not isinstance(leaves, str):
        raise Malformed("/root", "root and leaves are not texts")
    signed = read_signed_head(value["signed_head"], "/signed_head") if "signed_head" in value else None
    return Head(size, root), leaves, signed


def _lines(lines: Iterable[bytes]) -> Iterator[Row]:
    for seq, line in enumerate(lines, 1):
        try:
            yield Row(seq, read_event(line), "", line, seq + 1)
        except Malformed as error:
            yield Row(seq, error, "", line, seq + 1)

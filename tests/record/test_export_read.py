"""What is read of an export, and what is said of one that is altered: events written here, no record behind them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from histories import act, notes, shop_history
from rackwright import record
from rackwright.record import Event, Head, audit_export, export_lines, import_export, read_export
from rackwright.seal import DEMO_SEED, Tree, canonical, read_canonical, sign_head
from rackwright.trouble import Fault, Refusal, Stopped

AT = "2031-05-06T08:00:00Z"
EVENTS = [
    event.at_seq(seq) for seq, event in enumerate((each for acts in shop_history()[:4] for each in acts), 1)
]

LONG = [event.at_seq(seq) for seq, (event,) in enumerate(notes(40), 1)]
NEXT = act(50, "lift", {"hold": "h", "reason": "r"}).at_seq(6)


def tree(events: Sequence[Event]) -> Tree:
    return Tree(event.leaf() for event in events)


def head(events: Sequence[Event]) -> Head:
    return Head(len(events), tree(events).root().hex())


def text(events: Sequence[Event] = EVENTS, **header: Any) -> bytes:
    """The export of these, with a header altered as said; None takes a field away."""
    first, *rest = export_lines(events)
    plain = read_canonical(first[:-1]) | header
    return (
        canonical({name: plain[name] for name in plain if plain[name] is not None}) + b"\n" + b"".join(rest)
    )


def found(data: bytes) -> list[tuple[str, int, str, str]]:
    return [(each.code, each.where.line, each.where.field, each.found) for each in audit_export(data)]


def places(data: bytes) -> list[tuple[int, str]]:
    return [(line, field) for _, line, field, _ in found(data)]


@pytest.mark.parametrize("events", [EVENTS[:0], EVENTS[:1], EVENTS[:2], EVENTS[:3], EVENTS, LONG])
def test_what_is_written_is_what_is_read(events: list[Event]) -> None:
    signed = sign_head(head(events), AT, DEMO_SEED)
    for lines, wanted in ((export_lines(events), None), (export_lines(events, signed), signed)):
        history, read, troubles = read_export(b"".join(lines))
        assert history is not None
        assert ([*history.events], history.head, read, troubles) == (events, head(events), wanted, [])
    first, *rest = text(events).splitlines()
    assert rest == [event.canonical() for event in events]
    assert read_canonical(first) == {
        "format": "rackwright/export/1", "size": len(events), "root": head(events).root,
        "leaves": "".join(event.leaf().hex()[:8] for event in events),
    }  # fmt: skip


@pytest.mark.parametrize("wrong", [EVENTS[:4], [*EVENTS[:4], replace(EVENTS[4], by="Eve")]])
def test_a_signed_head_of_something_else_is_not_written_with_it(wrong: list[Event]) -> None:
    with pytest.raises(ValueError, match="the signed head is of"):
        next(export_lines(EVENTS, sign_head(head(wrong), AT, DEMO_SEED)))


@pytest.mark.parametrize(
    ("header", "field", "words"),
    [
        ({"format": "rackwright/export/2"}, "/format", "its first line does not say rackwright/export/1"),
        ({"format": "rackwright/export/0"}, "/format", "its first line does not say rackwright/export/1"),
        ({"format": None}, "/format", "its first line does not say rackwright/export/1"),
        *(
            (change, "", "its first line has other fields than format, leaves, size, root, signed_head")
            for change in ({"size": None}, {"root": None}, {"more": 1})
        ),
        *(({"size": size}, "/size", "size is not a number") for size in ("5", True, [])),
        *(
            (change, "/root", "root and leaves are not texts")
            for change in ({"root": 5}, {"leaves": 5}, {"leaves": []})
        ),
        ({"signed_head": {}}, "/signed_head", None),
        ({"signed_head": 7}, "/signed_head", None),
    ],
)  # fmt: skip
def test_a_header_that_is_none_is_a_fault_with_its_place(
    header: dict[str, Any], field: str, words: str | None
) -> None:
    history, signed, (trouble,) = read_export(text(**header), "a.jsonl")
    assert (history, signed, type(trouble)) == (None, None, Fault)
    assert (trouble.code, trouble.where.file, trouble.where.line, trouble.where.field) == (
        "RW508", "a.jsonl", 1, field)  # fmt: skip
    assert trouble.do == "give a file written by `rackwright export`"
    assert trouble.found.startswith("not an export: ")
    assert words is None or trouble.found == f"not an export: {words}"
    with pytest.raises(Stopped, match="RW508"):
        import_export(text(**header), "nowhere")
    (trouble,) = audit_export(b"[]", [(Head(), "x")])
    assert (trouble.where.file, trouble.code) == ("export", "RW508")


def test_an_early_export_has_no_leaves_and_is_proven_by_its_root() -> None:
    assert found(text(leaves=None)) == found(text(leaves="")) == []
    altered = [*EVENTS[:2], replace(EVENTS[2], by="Eve"), *EVENTS[3:]]
    data = text(altered, leaves=None, root=head(EVENTS).root)
    assert places(data) == [(1, "root")]


@pytest.mark.parametrize("count", [1, 5])
def test_leaves_that_do_not_fit_what_the_root_proves_are_told(count: int) -> None:
    leaves = "".join(event.leaf().hex()[:8] for event in EVENTS[:count])
    for other in (leaves[:-8], leaves[:-1], leaves + "0", leaves + "0" * 8, leaves.upper(), "z" + leaves[1:],
                  leaves[:-1] + "z", leaves[1:] + "z", "z"):  # fmt: skip
        if other:
            words = "the list of leaves does not fit the events, which do fit the root"
            assert found(text(EVENTS[:count], leaves=other)) == [("RW505", 1, "leaves", words)]


@pytest.mark.parametrize("seq", [1, 2, 3, 5])
def test_the_first_event_that_is_not_what_was_recorded_is_named_by_its_leaf(seq: int) -> None:
    altered = [replace(event, by="Eve") if event.seq >= seq else event for event in EVENTS]
    whole = read_canonical(text().split(b"\n")[0])
    data = text(altered, root=whole["root"], leaves=whole["leaves"])
    words = f"event {seq}: it is not what was recorded (its leaf hash does not fit)"
    assert found(data) == [
        ("RW505", seq + 1, f"event {seq}", words),
        ("RW505", 1, "root", f"the header names {head(EVENTS)}, the lines give {head(altered)}"),
    ]
    assert [type(each) for each in audit_export(data)] == [Refusal, Refusal]
    assert {each.do for each in audit_export(data)} == {"restore from backup", "get a fresh export"}


def test_an_altered_act_id_is_told_of_its_event_before_what_follows_from_it() -> None:
    """The act of events 2 and 3: altered at its end it comes again; its first is told by its leaf alone."""
    whole = read_canonical(text().split(b"\n")[0])
    acts = ["a", "b", "a", "c", "d"]
    moved = [replace(event, act_id=each) for event, each in zip(EVENTS, acts, strict=True)]
    data = text(moved, root=whole["root"], leaves=whole["leaves"])
    assert places(data) == [(2, "event 1"), (4, "event 3"), (1, "root")]
    again = [*EVENTS[:3], replace(EVENTS[3], act_id=EVENTS[0].act_id), EVENTS[4]]
    data = text(again, root=whole["root"], leaves=whole["leaves"])
    assert places(data) == [(5, "event 4"), (1, "root")]
    assert "was used before" in found(data)[0][3]


def test_lines_that_are_missing_or_too_many_or_cut_are_told_with_their_place() -> None:
    first, *lines = text().splitlines(keepends=True)
    whole = head(EVENTS)
    cut = f"the header names {whole}, the lines give {head(EVENTS[:4])}"
    assert found(first + b"".join(lines[:4])) == [("RW505", 1, "root", cut)]
    assert found(first + b"".join(lines)[:-1]) == [
        ("RW505", 6, "event 5", "event 5: the last line is not complete"), ("RW505", 1, "root", cut)]  # fmt: skip
    assert found(text() + b"{") == [("RW505", 7, "event 6", "event 6: the last line is not complete")]
    longer = [*EVENTS, NEXT]
    more = f"the header names {whole}, the lines give {head(longer)}"
    assert found(text() + longer[5].canonical() + b"\n") == [("RW505", 1, "root", more)]
    assert places(first + lines[0] + b"{}\n" + b"".join(lines[2:])) == [(3, "event 2"), (1, "root")]
    assert places(first + b"".join([*lines[:1], b"\n", *lines[1:]]))[0] == (3, "event 2")


def test_each_line_that_cannot_be_read_is_told_once_and_before_it_the_first_that_was_altered() -> None:
    first, *lines = text(LONG).splitlines(keepends=True)
    for seq in (3, 12, 15):
        lines[seq - 1] = b"{}\n"
    broken = [(4, "event 3"), (13, "event 12"), (16, "event 15"), (1, "root")]
    assert places(first + b"".join(lines)) == broken
    lines[0] = replace(LONG[0], by="Eve").canonical() + b"\n"
    assert places(first + b"".join(lines)) == [(2, "event 1"), *broken]


def test_an_altered_ninth_event_is_told_before_the_tenth_which_looks_wrong() -> None:
    first, *lines = text(LONG).splitlines(keepends=True)
    for seq, act_id in ((9, "x"), (10, LONG[0].act_id)):
        lines[seq - 1] = replace(LONG[seq - 1], act_id=act_id).canonical() + b"\n"
    assert places(first + b"".join(lines)) == [(10, "event 9"), (11, "event 10"), (1, "root")]


def test_a_header_that_names_another_head_is_told_with_both() -> None:
    for header in ({"size": 4}, {"size": 6}, {"root": "0" * 64}):
        other = Head(header.get("size", 5), header.get("root", head(EVENTS).root))  # type: ignore[arg-type]
        words = f"the header names {other}, the lines give {head(EVENTS)}"
        assert found(text(**header)) == [("RW505", 1, "root", words)]


@pytest.mark.parametrize(
    ("of", "change", "fits"),
    [
        (EVENTS, {}, True),
        (EVENTS, {"at": "2031-05-06T08:00:01Z"}, False),
        (EVENTS[:4], {}, False),
        ([*EVENTS, NEXT], {}, False),
    ],
)
def test_the_signed_head_of_an_export_is_of_it_and_holds(
    of: list[Event], change: dict[str, str], fits: bool
) -> None:
    signed = sign_head(head(of), AT, DEMO_SEED).to_json() | change
    words = "the signed head does not fit, or its signature does not hold"
    assert found(text(signed_head=signed)) == ([] if fits else [("RW505", 1, "signed_head", words)])


def test_heads_seen_outside_are_asked_of_the_tree_of_all_lines() -> None:
    seen = [(head(EVENTS[:n]), f"label {n}") for n in range(6)]
    assert audit_export(text(), seen) == []
    (trouble,) = audit_export(text(EVENTS[:4]), seen, "a.jsonl")
    assert (trouble.code, trouble.where.file) == ("RW509", "a.jsonl")
    assert "label 5" in trouble.found


def test_what_is_imported_has_the_same_acts_and_a_broken_export_leaves_nothing(tmp_path: Path) -> None:
    with import_export(text(), tmp_path / "record.db") as shop:
        assert [*shop.events()] == EVENTS
        assert [each.size for each in shop.heads()] == [1, 3, 4, 5]
        assert record.audit(shop).ok
    for broken in (text(root="0" * 64), text() + b"{", text(leaves="z")):
        with pytest.raises(Stopped) as caught:
            import_export(broken, tmp_path / "other.db", "a.jsonl")
        assert [each.where.file for each in caught.value.troubles] == ["a.jsonl"]
    assert sorted(path.name for path in tmp_path.iterdir() if "other" in path.name) == []

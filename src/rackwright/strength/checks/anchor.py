"""Bolts without a nut: threads that strip, inserts and nutplates that pull out.

A tapped hole strips at the bolt's threads or at its own, each at the least area that classes 3A and 3B leave, over the
full threads engaged; the metal by its shear strength. An insert and a nutplate hold what their document says of that
metal, never what a formula says; in an insert the bolt's own threads are judged as well. What pulls at the bolt is
that of its shear and tension, prying included.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from numpy import float64
from numpy.typing import NDArray

from rackwright.formulas import thread
from rackwright.pieces.model import Anchored, Bolt
from rackwright.reference.rows import Bolt as BoltRow
from rackwright.strength.margin import Margin, Step, Subject, missing, ratio
from rackwright.strength.run import Run

__all__ = ["anchored", "at_root"]

Array = NDArray[float64]
C3A, C3B = 0.75, 0.975  # of the pitch diameter's tolerance
KINDS = {"insert": "insert pulled out", "nutplate": "nutplate pulled off"}


def at_root(held: Sequence[Bolt]) -> bool:
    """Do threads lie in the shear plane of one of these bolts at its anchor."""
    return any(bolt.anchor is not None and bolt.anchor.in_plane for bolt in held)


def anchored(
    run: Run, id: str, held: Sequence[Bolt], pull: Array, places: tuple[str, ...]
) -> Iterator[Margin]:
    """Margins of what holds these bolts, all of one kind, under their pull (N, ultimate); none of a nut."""
    anchors = [bolt.anchor for bolt in held if bolt.anchor is not None]
    if not anchors:
        return
    row, anchor = run.rack.rows.bolts[held[0].row], min(anchors, key=lambda one: one.engaged)
    if anchor.kind != "nutplate":
        yield _external(run, id, row, anchor, pull, places)
    if anchor.kind == "tapped":
        yield _internal(run, id, row, anchor, pull, places)
    else:
        yield _by_document(run, id, anchor, pull, places)


def _limits(row: BoltRow) -> tuple[dict[str, float], tuple[Step, ...]]:
    """Sizes of the threads at the worst of their limits, m, and the steps that lead to them."""
    of = {"D": row.diameter, "p": row.pitch}
    basic, minor = float(thread.basic_pitch(**of)), float(thread.basic_minor_internal(**of))
    outer, inner = ({"C": C, **of, "Le": row.diameter} for C in (C3A, C3B))
    sizes = {
        "Es": basic - float(thread.pitch_tolerance(**outer)),
        "En": basic + float(thread.pitch_tolerance(**inner)),
        "Kn": minor + float(thread.minor_tolerance(**of)),
        "Ds": row.diameter - float(thread.major_tolerance(row.pitch)),
    }
    steps: tuple[Step, ...] = (
        ("basic_pitch", of),
        ("basic_minor_internal", of),
        ("pitch_tolerance", outer),
        ("pitch_tolerance", inner),
        ("minor_tolerance", of),
        ("major_tolerance", {"p": row.pitch}),
    )
    return sizes, steps


def _external(
    run: Run, id: str, row: BoltRow, anchor: Anchored, pull: Array, places: tuple[str, ...]
) -> Margin:
    known = row.known_of("Fsu")
    source = f"{row.id}, shear strength of its metal: {known}"
    about = Subject(
        f"{id}, thread of the bolt", "bolt's thread stripped", source, known.unconfirmed, places=places
    )
    return _stripped(run, about, row, row.Fsu, anchor, pull, ("external_strip", "Kn", "Es"))


def _internal(
    run: Run, id: str, row: BoltRow, anchor: Anchored, pull: Array, places: tuple[str, ...]
) -> Margin:
    piece = run.pieces.get(anchor.piece)
    metal, stock = (
        run.rack.rows.materials[piece.material],
        min(box.size(i) for box in piece.walls for i in range(3)) * 1e-9,
    )
    if piece.kind == "block":
        stock = max(piece.overall) * 1e-9
    about = Subject(f"{id}, tapped thread", "tapped thread stripped", f"{metal.id}: {metal.known}", metal.unconfirmed,
                    places=places)  # fmt: skip
    Fsu = metal.Fsu if metal.covers(stock) else None
    return _stripped(run, about, row, Fsu, anchor, pull, ("internal_strip", "Ds", "En"))


def _stripped(
    run: Run,
    about: Subject,
    row: BoltRow,
    Fsu: float | None,
    anchor: Anchored,
    pull: Array,
    way: tuple[str, str, str],
) -> Margin:
    if Fsu is None:
        why = f"{about.source.partition(':')[0]} gives no shear strength"
        return missing(about, why, None, run.context("ultimate"), run.fitting_factor)
    sizes, first = _limits(row)
    name, *used = way
    given = {"Le": anchor.engaged * 1e-9, "p": row.pitch, **{one: sizes[one] for one in used}}
    area = float(getattr(thread, name)(**given))
    steps: tuple[Step, ...] = (*first, (name, given), ("strip_strength", {"Fsu": Fsu, "A": area}))
    allowable = float(thread.strip_strength(Fsu, area))
    return ratio(run.context("ultimate"), about, pull, allowable, run.fitting_factor, lambda at: steps)


def _by_document(run: Run, id: str, anchor: Anchored, pull: Array, places: tuple[str, ...]) -> Margin:
    about = Subject(f"{id}, {anchor.kind}", KINDS[anchor.kind], anchor.document or "", places=places)
    if anchor.pull_out is None or anchor.document is None:
        why = f"{anchor.kind} {anchor.part} has no pull-out strength with a document"
        return missing(about, why, None, run.context("ultimate"), run.fitting_factor)
    return ratio(run.context("ultimate"), about, pull, anchor.pull_out, run.fitting_factor)

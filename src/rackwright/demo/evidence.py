"""The evidence that the invented order owes: rings passivated outside, as the customer asks; flammability by type test.

Papers, laboratories and numbers are invented: nobody tested anything.
"""

from __future__ import annotations

from collections.abc import Iterator

from rackwright.demo.job import INSPECTOR, LEAD, ORDER, STORES, SUPPLIER, Act, Job
from rackwright.work.engineering.owed import owed_by
from rackwright.work.metal.sawing import piece_id
from rackwright.work.serials.evidence import give, owe
from rackwright.work.stations.making import receive_back, send_out

__all__ = ["burning", "burns", "owing", "passivating"]

PROCESS, LABORATORY = "passivate", "Hollin Fire Laboratory (invented)"


def owing(job: Job) -> Iterator[Act]:
    """What the customer asks besides what the rack owes by its materials."""
    stock = sorted({piece.stock for piece in job.design.pieces.made if piece.kind == "ring"})
    if stock:
        yield Act("evidence owed", LEAD, "2026-03-04",
                  lambda s, id: owe(s, "passivation of rings", "CT-2231 rev B", order=ORDER, kind="passivation",
                                    text="rings passivated after bending, with the processor's certificate",
                                    each="lot", of=stock, process=PROCESS, act_id=id))  # fmt: skip


def passivating(job: Job, serial: str) -> Iterator[Act]:
    """The rings of a rack go out and come back with their certificate."""
    rings = [piece_id(serial, piece.id) for piece in job.design.pieces.made if piece.kind == "ring"]
    if rings:
        yield Act(f"send out rings of {serial}", STORES, "2026-03-17",
                  lambda s, id: send_out(s, SUPPLIER, PROCESS, rings, f"DN-P-{serial}", id))  # fmt: skip
        yield Act(f"receive back rings of {serial}", STORES, "2026-03-20",
                  lambda s, id: receive_back(s, SUPPLIER, PROCESS, rings, (), f"CP-{serial}", id))  # fmt: skip


def burns(job: Job) -> list[str]:
    """What of the rack owes how it burns."""
    return [row["evidence"] for row in owed_by(job.design) if row["kind"] == "flammability"]


def burning(job: Job) -> Iterator[Act]:
    """A type test of each."""
    for number, name in enumerate(burns(job), 31):
        paper = f"DEMO: {name}, an invented report; nobody tested anything.\n".encode()
        yield Act(f"evidence {name}", INSPECTOR, "2026-03-27",
                  lambda s, id, e=name, n=number, p=paper: give(
                      s, e, f"INVENTED-FT-{n} rev A", "2026-01-14", LABORATORY, p, revision=job.revision,
                      act_id=id))  # type: ignore[misc]  # fmt: skip

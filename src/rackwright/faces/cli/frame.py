"""`rackwright frame CASE.json`: analyse any 3-D frame."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from rackwright.strength.frame.model import Array
    from rackwright.strength.frame_case import Answer

__all__ = ["frame"]


@click.command()
@click.argument("case", metavar="CASE.json")
@click.option(
    "--stability", is_flag=True,
    help="Also at which multiple of each case the frame buckles, and the forces of the deformed frame.",
)  # fmt: skip
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def frame(case: str, stability: bool, as_json: bool) -> int:
    """Analyse a 3-D frame: displacements, reactions, member forces, first frequencies.

    CASE.json is in the open format frame-case/1: nodes, beams (Timoshenko, releases), tension-only ties,
    one-sided springs, masses on nodes and members, preload and warming, load cases; all numbers SI. `-` reads
    standard input.

    Exit code 1: at least one load case has no equilibrium; the answer says which freedom is loose.
    """
    from rackwright.faces.cli.files import read_bytes
    from rackwright.strength.frame_case import answer, answer_document, read_case, stability_document
    from rackwright.trouble import Refusal, Stopped

    found, faults = read_case(read_bytes(case), case)
    if found is None:
        raise Stopped(faults)
    answered, faults = answer(found, case)
    if answered is None:
        raise Stopped(faults)
    if as_json:
        from rackwright.faces.cli.main import print_json

        more = {"stability": stability_document(answered)} if stability else {}
        print_json(answer_document(answered) | more)
    else:
        _print(answered)
        if stability:
            _print_stability(stability_document(answered))
    for at, reason in enumerate(answered.loose):
        if reason is not None:
            where = found.case_places[at]
            click.echo(
                str(Refusal("RW302", where, f"no equilibrium: {reason}", "hold that freedom")), err=True
            )
    return 1 if any(answered.loose) else 0


def _print(answered: Answer) -> None:
    import numpy as np

    from rackwright.trouble import DEFERENCE

    case, r = answered.case, answered.response
    size = f"{len(case.node_ids)} nodes, {len(case.beams)} beams, {len(case.ties)} ties"
    click.echo(f"{case.name}: {size}, {r.mass[0]:.3f} kg")
    if answered.hz is not None:
        click.echo(
            "first frequencies (point masses alone): " + ", ".join(f"{hz:.3f}" for hz in answered.hz) + " Hz"
        )
    head = f"{'load case':<16} {'largest motion, mm':>24} {'axial, N':>20} {'bending, N·m':>20}   reactions x, y, z, N"
    click.echo(f"\n{head}\n" + "-" * len(head))
    for at, name in enumerate(case.case_names):
        reason = answered.loose[at]
        if reason is not None:
            click.echo(f"{name:<16} no equilibrium: {reason}")
            continue
        moved = np.linalg.norm(r.displacement[0, at, :, :3], axis=-1)
        node = int(np.argmax(moved))
        axial = np.concatenate([r.end_force[0, at, :, 6], r.tie_force[0, at]])
        bending = np.abs(r.end_force[0, at][:, [4, 5, 10, 11]]).max(axis=1, initial=0.0)
        total = r.reaction[0, at, :, :3].sum(axis=0)
        members = case.beams + case.ties
        click.echo(
            f"{name:<16} {1000 * moved[node]:>12.4f} at node {case.node_ids[node]:<4}"
            f"{_largest(axial, members)} {_largest(bending, case.beams)}   "
            + " ".join(f"{force:.1f}" for force in total)
        )
        slack = [t for t, acts in zip(case.ties, r.tie_acts[0, at], strict=True) if not acts]
        opened = [p for p, acts in zip(case.pads, r.pad_acts[0, at], strict=True) if not acts]
        if slack or opened:
            click.echo(f"{'':<16} slack ties: {_ids(slack)}; open springs: {_ids(opened)}")
    worst = max((float(x) for x in r.residual[0] if np.isfinite(x)), default=0.0)
    click.echo(
        f"\nlargest imbalance of any case: {worst:.1e} of its load. Forces at every node and member: --json."
    )
    click.echo(DEFERENCE)


def _print_stability(found: dict[str, Any]) -> None:
    click.echo("\nbuckling: the multiple of each case at which the frame ceases to stand")
    for name, one in found.items():
        factor = one["buckles_at_times"]
        said = "at none" if factor is None else f"at {factor:.6g} times"
        none = one["second_order"].get("none")
        second = f"; second order: {none}" if none else ""
        click.echo(f"{name:<16} {said}{': ' + one['where'] if one['where'] else ''}{second}")


def _largest(values: Array, ids: tuple[int, ...]) -> str:
    if not len(values):
        return f"{'-':>20}"
    at = int(abs(values).argmax())
    return f"{values[at]:>12.1f} in {ids[at]:<4}"


def _ids(numbers: list[int]) -> str:
    return ", ".join(map(str, numbers)) or "none"

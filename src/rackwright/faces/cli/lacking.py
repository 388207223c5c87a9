"""`rackwright show ORDER`: what an order is, and what each of its lines and racks still lacks."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from rackwright.faces.cli.show import one_line, table
from rackwright.faces.cli.trace import line_table

if TYPE_CHECKING:
    from rackwright.record import Record
    from rackwright.work.serials.lacking import AskedOf, LineLacks, OrderLacks

__all__ = ["show_order"]


def show_order(record: Record, order: str, folder: Path, day: str, as_json: bool) -> None:
    """Prints it. Raises Stopped for an unknown order."""
    from rackwright.trouble import DEFERENCE
    from rackwright.work.load import load_shop
    from rackwright.work.serials.lacking import lacking

    found = lacking(record, order, load_shop(folder), day)
    if as_json:
        from rackwright.faces.cli.main import print_json

        print_json({"format": "rackwright/order/1", "caution": DEFERENCE, "on": day, **_document(found)})
    else:
        _print(found)
        click.echo(f"\n{DEFERENCE}")


# --- as data ---------------------------------------------------------------------------------------


def _document(found: OrderLacks) -> dict[str, Any]:
    from rackwright.work.office.lines import line_json

    order = found.order
    return {
        "order": order.order, "customer": order.customer, "document": order.document, "complete": found.complete,
        "marks": _marks(found), "lacks": list(found.lacks),
        "questions": [_question(one) for one in found.asked],
        "changed_answers": [one.words for one in found.changed],
        "lines": [line_json(line.line) | {"lacks": _lacks(line.lacks), "revisions": list(line.revisions),
                                 "racks": [{"serial": rack.serial, "state": rack.state, "lacks": _lacks(rack.lacks),
                                            "steps": [vars(step) for step in rack.steps]} for rack in line.racks]}
                  for line in found.lines],
    }  # fmt: skip


def _marks(found: OrderLacks) -> list[str]:
    """Results of an order with a question open rest on what is assumed meanwhile."""
    from rackwright.trouble import PRELIMINARY

    return [PRELIMINARY] if any(one.question.open for one in found.asked) else []


def _question(one: AskedOf) -> dict[str, Any]:
    asked = one.question
    return {
        "question": asked.question, "text": asked.text, "owner": asked.owner, "addressee": asked.addressee or None,
        "due": asked.due or None, "late": one.late, "blocks": list(asked.blocks), "open": asked.open,
        "line": asked.line or None, "variation": asked.variation or None, "field": asked.field or None,
        "assumed": asked.assumed or None,
        "answers": [{"answer": each.answer, "document": each.document, "by": each.by, "at": each.at, "seq": each.seq,
                     "reason": each.reason or None} for each in asked.answers],
    }  # fmt: skip


def _lacks(rows: tuple[tuple[str, str], ...]) -> list[dict[str, str]]:
    return [{"what": what, "found": found} for what, found in rows]


# --- as text ---------------------------------------------------------------------------------------


def _print(found: OrderLacks) -> None:
    from rackwright.work.office.lines import line_json

    order, marks = found.order, _marks(found)
    by = one_line(order.document or "no document")
    click.echo(
        f"{one_line(order.order)} of {one_line(order.customer)}, by {by}{'  ' if marks else ''}{''.join(marks)}"
    )
    line_table([line_json(line.line) for line in found.lines])
    click.echo(
        "\nthe contract" if found.lacks else "\nthe contract: reviewed as it stands, or none is recorded"
    )
    for words in found.lacks:
        click.echo(f"  lacks: {one_line(words)}")
    _questions(found)
    for line in found.lines:
        _print_line(found, line)


def _questions(found: OrderLacks) -> None:
    click.echo("\nquestions" if found.asked else "\nno question was asked of it")
    for one in found.asked:
        asked = one.question
        owner = f"{asked.owner}, asked of {asked.addressee}" if asked.addressee else asked.owner
        named = (("line", asked.line), ("variation", asked.variation), ("field", asked.field))
        of = "".join(f", {name} {value}" for name, value in named if value)
        state = "open" if asked.open else "answered"
        until = f", due {asked.due}{', LATE' if one.late else ''}" if asked.due and asked.open else ""
        blocks = ", ".join(asked.blocks).replace("_", " ") or "nothing"
        click.echo(
            f"  {one_line(asked.question)}{one_line(of)}: {state}{until}; {one_line(owner)}; blocks {blocks}"
        )
        click.echo(f"    {one_line(asked.text)}")
        if asked.open and asked.assumed:
            click.echo(f"    {one_line(asked.told)}")
        for n, each in enumerate(asked.answers, start=1):
            why = f"; changed: {each.reason}" if each.reason else ""
            said = f"{n}. {each.answer}; {each.document} ({each.by}, {each.at[:10]}, event {each.seq}{why})"
            click.echo(f"    {one_line(said)}")
    for changed in found.changed:
        click.echo(f"  LOOK: {one_line(changed.words)}")


def _print_line(found: OrderLacks, held: LineLacks) -> None:
    name = one_line(found.order.named(held.line.line))
    revisions = one_line(", ".join(held.revisions) or "not frozen")
    click.echo(f"\n{name}: {'withdrawn' if held.line.withdrawn else revisions}")
    for what, words in held.lacks:
        click.echo(f"  lacks {what}: {one_line(words)}")
    for rack in held.racks:
        left = len(rack.lacks) + len(rack.steps)
        click.echo(f"  {one_line(rack.serial)} {rack.state}{'' if left else ', lacks nothing here'}")
        table(
            "what< found<", [(one_line(what), one_line(words)) for what, words in rack.lacks], indent="    "
        )
        table("step< recorded>", [(one_line(step.title), f"{step.done} of {step.of}") for step in rack.steps],
              indent="    ")  # fmt: skip

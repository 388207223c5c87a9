"""`rackwright trace heat|piece|serial|gauge|order ID`: where it came from and where it went."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import click

from rackwright.faces.cli.show import inches, one_line, table

__all__ = ["trace"]

KINDS = ("heat", "piece", "serial", "gauge", "order")


@click.command()
@click.argument("kind", metavar="KIND", type=click.Choice(KINDS))
@click.argument("name", metavar="ID")
@click.option(
    "--shop", metavar="DIR", help="The shop's folder; else the nearest one above, or RACKWRIGHT_SHOP."
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def trace(kind: str, name: str, shop: str | None, as_json: bool) -> None:
    """Where a heat, piece, serial or gauge came from and went, with margins; an order's contract and what it took.

    \b
    Example:   rackwright trace heat H4471
               rackwright trace serial ER47V12-0001 --json

    KIND is heat, piece, serial, gauge or order. Exit code 1: the record does not know the ID.
    """
    from rackwright.work.keeping.shop_folder import folder_of, open_record
    from rackwright.work.serials import tracing

    with open_record(folder_of(shop)) as record:
        found = tracing.trace_in(record, kind, name)
    if as_json:
        from rackwright.faces.cli.main import print_json

        print_json({"format": "rackwright/trace/1", **found})
    else:
        _print(found)


def _print(found: dict[str, Any]) -> None:
    click.echo(f"{found['kind']} {one_line(found['id'])}")
    {"heat": _heat, "piece": _piece, "serial": _serial, "gauge": _gauge, "order": _order}[found["kind"]](
        found
    )
    if found["corrections"]:
        click.echo("\ncorrected: what was recorded stays, and is read as")
    table("event< of< what< read_as< reason< by<",
          [(str(c["seq"]), str(c["corrects"]), c["type"], one_line(c["words"]), one_line(c["reason"]),
            one_line(c["by"])) for c in found["corrections"]])  # fmt: skip
    click.echo("\nevents")
    table(
        "seq> at< type< by<",
        [(str(e["seq"]), e["at"], e["type"], one_line(e["by"])) for e in found["events"]],
    )


def _heat(found: dict[str, Any]) -> None:
    click.echo("\nstock of this heat")
    _stock(found["stock"])
    _strengths(found["strengths"])
    click.echo("\npieces, least margin first" if found["pieces"] else "\nno pieces yet")
    table("piece< serial< state< margin> check<",
          [(one_line(p["piece"]), p["serial"], p["state"], _margin(p["margin"]), p["check"] or "")
           for p in found["pieces"]])  # fmt: skip
    click.echo(f"\nin serials: {', '.join(map(one_line, found['serials'])) or 'none'}")


def _piece(found: dict[str, Any]) -> None:
    rows = [("heat", found["heat"]), ("lot", found["lot"]), ("serial", found["serial"]), ("state", found["state"]),
            ("revision", found["revision"]), ("length", inches(found["length_nm"]) if found["length_nm"] else ""),
            ("made by", ", ".join(found["made_by"]))]  # fmt: skip
    margin = found["margin"]
    if margin:
        rows.append(("margin", f"{_margin(margin['margin'])}, {margin['check']}, {margin.get('case', '')}"))
    table("what< value<", [(name, one_line(value)) for name, value in rows if value])
    click.echo("\nfrom stock")
    _stock([found["stock"]])
    _strengths(found["strengths"])
    click.echo("\nmeasured" if found["measured"] else "\nnot measured")
    table("characteristic< value> lower> upper> within< gauge< due< by<",
          [(one_line(m["characteristic"]), m["value"], m["lower"], m["upper"], _inside(m),
            one_line(m["gauge"]), m["gauge_due"], one_line(m["by"])) for m in found["measured"]])  # fmt: skip


def _serial(found: dict[str, Any]) -> None:
    click.echo(f"  {found['state']}, {one_line(found['revision'])}, order {one_line(found['order'])}"
               f" of {one_line(found['customer'] or 'an unknown customer')}")  # fmt: skip
    margins = {row.get("piece"): row for row in found["margins"]}
    click.echo("\npieces")
    table("piece< heat< stock< state< margin> check<",
          [(one_line(p["piece"]), one_line(p["heat"]), one_line(p["stock_id"]), p["state"],
            _margin(margins[p["piece"]]["margin"]) if p["piece"] in margins else "",
            margins[p["piece"]]["check"] if p["piece"] in margins else "") for p in found["pieces"]])  # fmt: skip
    click.echo(f"\nheats: {', '.join(map(one_line, found['heats'])) or 'none'}")
    evidence_table(found["evidence"])


def _gauge(found: dict[str, Any]) -> None:
    click.echo(f"  {one_line(found['gauge_kind'])}, {found['state']}, calibration due {found['due']}"
               + (f", uncertainty {found['uncertainty']}" if found["uncertainty"] else ""))  # fmt: skip
    since = f" since {found['last_good']}" if found["last_good"] else ""
    click.echo(
        f"\nevery value it gave{since}, the nearest to its limit first" if found["readings"] else "\nno value"
    )
    table("event> piece< characteristic< value> lower> upper> within< to_limit>",
          [(str(r["seq"]), one_line(r["piece"] or r["serial"] or ""), one_line(r["characteristic"]), r["value"],
            r["lower"] or "", r["upper"] or "", _inside(r), _share(r["to_limit"]))
           for r in found["readings"]])  # fmt: skip
    if found["steps"]:
        click.echo(f"\nevery step it decided{since}, that nearest to a limit first")
    table("event> step< pieces< serials< by< to_limit>",
          [(str(r["seq"]), r["type"], one_line(_few(r["pieces"])), one_line(", ".join(r["serials"])), one_line(r["by"]),
            _share(r["to_limit"])) for r in found["steps"]])  # fmt: skip
    for word in ("pieces", "serials"):
        names = found[f"passed_{word}"]
        click.echo(f"\n{word} it passed: {', '.join(map(one_line, names)) or 'none'}")


def _few(names: list[str]) -> str:
    return ", ".join(names[:3]) + (f" and {len(names) - 3} more" if len(names) > 3 else "")


def _inside(row: dict[str, Any]) -> str:
    return "yes" if row["within"] else "guard band" if row["undecided"] else "NO"


def _order(found: dict[str, Any]) -> None:
    by = one_line(found["document"] or "no document")
    racks = f"{found['quantity']} rack{'' if found['quantity'] == 1 else 's'}"
    click.echo(f"  {racks} for {one_line(found['customer'])}, first due {found['due'] or 'never'}, by {by}")
    click.echo("\nlines")
    line_table(found["lines"])
    click.echo("\nquotes" if found["quotes"] else "\nno quote was agreed")
    table("quote< revision< price> low> high> agreed<",
          [(one_line(q["quote"]), q["revision"], q["price"], q["low"] or "", q["high"] or "",
            "yes" if q["agreed"] else "") for q in found["quotes"]])  # fmt: skip
    click.echo("\nclauses" if found["clauses"] else "\nno clause is recorded")
    table("clause< text< met_by< before< evidence<",
          [(one_line(c["clause"]), one_line(c["text"])[:60], one_line(c["met_by"]), c["before"] or "",
            "withdrawn" if c["withdrawn"] else one_line(c["evidence"] or "none"))
           for c in found["clauses"]])  # fmt: skip
    review = found["review"]
    said = (
        f"by {one_line(review['by'])} on {review['at'][:10]}, {one_line(review['document'])}"
        if review
        else "none"
    )
    click.echo(f"\ncontract review: {said}")
    for words in found["open"]:
        click.echo(f"  open: {one_line(words)}")
    click.echo("\nserials" if found["serials"] else "\nno serials yet")
    table("serial< line< state< revision<",
          [(one_line(s["serial"]), one_line(s["line"]), s["state"], one_line(s["revision"]))
           for s in found["serials"]])  # fmt: skip
    click.echo("\nwhat it took, beside the quote")
    table("what< unit< quoted> recorded> share>",
          [(one_line(line["what"]), line["unit"], line["quoted"] or "none", line["recorded"] or "none",
            line["share"] or "") for line in found["spent"]])  # fmt: skip


def evidence_table(rows: Sequence[Mapping[str, Any]]) -> None:
    """What a rack owes as evidence, and what stands for it."""
    click.echo("\nevidence owed" if rows else "\nno list of evidence was frozen or written down")
    table(
        "evidence< of_each< what_stands_for_it< event>",
        [(one_line(e["evidence"]), e["each"], one_line(e["stands"]), str(e["seq"] or "")) for e in rows],
    )


def line_table(lines: list[dict[str, Any]]) -> None:
    """The lines of an order as they stand, each with the document that says so."""
    table("line< racks> variation< due< price> document< aircraft< ",
          [(one_line(each["line"]), "withdrawn" if each["withdrawn"] else str(each["quantity"]),
            one_line(each["variation"]), each["due"] or "", one_line(each["price"] or ""), one_line(each["document"]),
            one_line(", ".join(each["aircraft_serials"]))) for each in lines])  # fmt: skip


def _stock(rows: list[dict[str, Any]]) -> None:
    lines = []
    for row in rows:
        now, then = (_size(row[f"{which}_nm"], row[f"{square}_nm2"]) for which, square in
                     (("length", "area"), ("received", "received")))  # fmt: skip
        words = [one_line(row[key] or "") for key in ("parent", "reason")]
        lines.append((one_line(row["stock_id"]), row["state"], one_line(row["section"]), then, now,
                      one_line(row["certificate"] or "none"), *words))  # fmt: skip
    table("stock< state< section< received> left> certificate< from< reason<", lines)


def _size(nm: int, nm2: str | None) -> str:
    """A bar's length, or a plate's area."""
    return f"{int(nm2) / 25_400_000**2:.2f} in²" if nm2 and nm2 != "0" else inches(nm) if nm else ""


def _strengths(rows: list[dict[str, Any]] | None) -> None:
    if rows:
        from rackwright.work.engineering.heat_strengths import PREMIUM

        click.echo("\nstrength that the certificate prints, beside the value used")
        table("stock< strength< printed> used> row< basis< note<",
              [(one_line(row["stock_id"]), row["strength"], one_line(row["printed"]), row["used"], row["row"],
                row["basis"], "BELOW the value used" if row["below"] else "") for row in rows])  # fmt: skip
        click.echo(PREMIUM)


def _share(text: str | None) -> str:
    """Distance to the nearer limit as a share of the tolerance."""
    return "" if text is None else f"{float(text):.1%}"


def _margin(text: str | None) -> str:
    return f"{float(text):+.3f}" if text is not None else ""

"""The saw's page: one signature a visit, one tap a piece, and what is shown of hostile names."""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape

from fastapi.testclient import TestClient
from httpx import Response

import small_shop as small
from faces.web.conftest import PASSWORDS, PINS, Server, issue, posts
from rackwright.record.audit import audit
from rackwright.units import parse_quantity
from rackwright.work.keeping.heads import signed_words
from rackwright.work.keeping.hindsight import in_hindsight
from rackwright.work.metal.receiving import accept, receive_bar
from rackwright.work.metal.saw_plans import plan_saw
from rackwright.work.people.signers import set_secret


def forms(page: str, action: str) -> list[dict[str, str]]:
    """What each form of a page that posts there would send by itself."""
    found = re.findall(rf'<form method="post" action="{action}">(.*?)</form>', page, re.DOTALL)
    return [
        {
            unescape(name): unescape(value)
            for name, value in re.findall(r'name="([^"]*)" value="([^"]*)"', form)
        }
        for form in found
    ]


def at_the_saw(served: Server, begun: bool = True) -> TestClient:
    sawyer = served.browser("sawyer")
    assert issue(sawyer, "T-01", posts(), "sign-out").status_code == 200
    if begun:
        assert sawyer.post("/saw/begin", data={"stock_id": "T-01", "pin": PINS["sawyer"]}).status_code == 303
    return sawyer


def tap(sawyer: TestClient, number: int = 0) -> tuple[Response, dict[str, str]]:
    form = forms(sawyer.get("/saw").text, "/saw/off")[number]
    return sawyer.post("/saw/off", data=form), form


def test_one_tap_a_piece_and_a_double_tap_does_nothing_twice(served: Server) -> None:
    sawyer = at_the_saw(served)
    offered = forms(sawyer.get("/saw").text, "/saw/off")
    assert [form["piece"] for form in offered] == posts(), "in their order, one button each"
    said, form = tap(sawyer)
    assert said.status_code == 303
    assert sawyer.post("/saw/off", data=form).status_code == 303, "the second tap of the same button"
    (event,) = served.events("label")
    assert (event.body["piece"], event.act_id, event.by) == (
        posts()[0],
        form["act_id"],
        small.PEOPLE["sawyer"],
    )
    page = sawyer.get("/saw").text
    assert len(forms(page, "/saw/off")) == 3
    assert re.search(rf"<div class=\"done\"><b>{posts()[0]}</b> is off", page)


def test_a_visit_is_signed_once_and_says_so(served: Server) -> None:
    sawyer = at_the_saw(served, begun=False)
    page = sawyer.get("/saw").text
    assert forms(page, "/saw/off") == [], "no button before the PIN"
    data = {"act_id": "early", "piece": posts()[0]}
    assert "RW545" in sawyer.post("/saw/off", data=data).text
    wrong = sawyer.post("/saw/begin", data={"stock_id": "T-01", "pin": "7393"})
    assert (wrong.status_code, "RW546" in wrong.text) == (409, True)
    assert sawyer.post("/saw/begin", data={"stock_id": "T-01", "pin": PINS["sawyer"]}).status_code == 303
    assert tap(sawyer)[0].status_code == 303
    assert [event.known.signed for event in served.events("label")] == ["session"]
    assert "1 by session (taps of a visit whose beginning was signed)" in signed_words(served.record.events())
    assert in_hindsight(list(served.record.events())) == []
    assert audit(served.record).ok
    forged = [replace(e, known=replace(e.known, signed="session")) if e.type == "issue" else e
              for e in served.record.events()]  # fmt: skip
    assert [one.code for one in in_hindsight(forged)] == ["RW545"], "nothing but a tap goes by a session"


def test_the_signature_of_a_visit_is_for_its_bar_its_hour_its_browser_and_its_person(served: Server) -> None:
    sawyer = at_the_saw(served)
    assert issue(sawyer, "T-02", posts("SN-2"), "second").status_code == 200
    other = served.browser("sawyer")
    said = [sawyer.post("/saw/off", data={"act_id": "other bar", "piece": posts("SN-2")[0]}),
            other.post("/saw/off", data={"act_id": "other browser", "piece": posts()[0]})]  # fmt: skip
    served.seconds[0] += 3600
    said.append(sawyer.post("/saw/off", data={"act_id": "late", "piece": posts()[0]}))
    assert ["RW545" in one.text for one in said] == [True] * 3
    assert sawyer.post("/saw/begin", data={"stock_id": "T-01", "pin": PINS["sawyer"]}).status_code == 303
    at = small.station(served.record, "sawyer")
    set_secret(at.by(at.person, PINS["sawyer"]), "pin", "9153")
    assert "RW545" in sawyer.post("/saw/off", data={"act_id": "old pin", "piece": posts()[0]}).text
    assert served.events("label") == []


def test_a_tap_does_not_end_a_row_of_wrong_pins(served: Server) -> None:
    sawyer = at_the_saw(served)
    for n in range(4):
        issue(sawyer, "T-02", posts("SN-2"), f"wrong {n}", "1357")
    assert tap(sawyer)[0].status_code == 303
    assert small.state(served.record).persons[small.PEOPLE["sawyer"]].wrong == 4


def test_a_visit_is_booked_with_the_remnants_label_as_scanned(served: Server) -> None:
    sawyer = at_the_saw(served)
    for _ in posts():
        assert tap(sawyer)[0].status_code == 303
    (form,) = forms(sawyer.get("/saw").text, "/saw/cut")
    data: dict[str, object] = {
        **form, "piece": posts(), "length": ["40.5 in"] * 4, "kerf": "0.5 in", "trim": "0.5 in", "rest": "77 in",
        "machine": "S1", "remnant": "T-01-R", "pin": PINS["sawyer"],
    }  # fmt: skip
    no = sawyer.post("/saw/cut", data=data)
    assert (no.status_code, "the remnant has no label" in no.text) == (409, True)
    unit = sawyer.post("/saw/cut", data={**data, "act_id": "no unit", "length": ["40.5 in"] * 3 + ["40.5"]})
    assert (unit.status_code, f"{posts()[3]}: &#39;40.5&#39; has no unit" in unit.text) == (422, True)
    for page in (no.text, unit.text):
        (again,) = forms(page, "/saw/cut")
        assert {name: again[name] for name in ("kerf", "trim", "rest", "machine", "remnant")} == {
            name: data[name] for name in ("kerf", "trim", "rest", "machine", "remnant")
        }, "what was typed is not typed again"
        assert PINS["sawyer"] not in page
    assert re.findall(r'name="length" value="([^"]*)"', unit.text) == ["40.5 in"] * 3 + ["40.5"]
    (form,) = forms(sawyer.get("/saw").text, "/saw/cut")
    for pin, code in (("", 409), (PINS["sawyer"], 303)):
        fresh = {"act_id": form["act_id"] + pin, "label": "L-9", "pin": pin}
        said = sawyer.post("/saw/cut", data={**data, **fresh})
        assert said.status_code == code, said.text
    (event,) = served.events("cut")
    assert (event.known.signed, event.body["remnant"]["label"]) == ("pin", "L-9")
    assert "No bar is at the saw" in sawyer.get("/saw").text


def test_where_a_saw_plan_is_recorded_the_buttons_show_its_lengths(served: Server) -> None:
    lead = small.station(served.record, "lead")
    plan_saw(lead.by(lead.person, PASSWORDS["lead"]), small.ORDER, small.shop())
    sawyer = at_the_saw(served)
    assert sawyer.post("/saw/off", data=forms(sawyer.get("/saw").text, "/saw/off")[0]).status_code == 303
    page = sawyer.get("/saw").text
    length = next(piece.length for piece in small.design().pieces.sawn if piece.kind == "post")
    assert length is not None
    assert page.count(f"</b> {length / 25_400_000:.4f} in<br>") == 3
    (form,) = forms(page, "/saw/cut")
    assert parse_quantity(form["length"], "length") * 10**9 == length, "what is put in reads back exactly"


def test_hostile_names_are_shown_and_do_nothing(served: Server) -> None:
    hostile = "<script>alert(1)</script>\"'&{{7*7}}"
    stores, inspector = (small.station(served.record, who) for who in ("stores", "inspector"))
    bar = small.bar("T-0X", heat=hostile)
    receive_bar(stores.by(stores.person, PINS["stores"]), bar, 50_000)
    accept(inspector, small.shop(), "T-0X")
    sawyer = served.browser("sawyer")
    assert issue(sawyer, "T-0X", posts(), "x").status_code == 200
    page = sawyer.get("/saw").text
    assert "<script" not in page
    assert "&lt;script&gt;alert(1)&lt;/script&gt;&#34;&#39;&amp;{{7*7}}" in page
    said = sawyer.post("/saw/off", data={"act_id": "y", "piece": f"{hostile}\u202e\x07"})
    assert said.status_code >= 400
    assert not any(bad in said.text for bad in ("<script", "\u202e", "\x07"))
    assert sawyer.post("/sign-in", data={"person": hostile, "password": PASSWORDS["lead"]}).status_code == 403
    assert "<script" not in sawyer.post("/saw/begin", data={"stock_id": hostile, "pin": PINS["sawyer"]}).text


def test_a_page_asks_nothing_of_elsewhere_and_needs_no_script(served: Server) -> None:
    sawyer = at_the_saw(served)
    for path, links in (("/sign-in", set()), ("/saw", {"/do"}), ("/do/hold", {"/do"})):
        page = sawyer.get(path).text
        assert set(re.findall(r'(?:src|href)="([^"]*)"', page)) == {"/style.css", *links}
        assert not re.search(r"<script|style=| on\w+=", page)
    assert "url(" not in sawyer.get("/style.css").text

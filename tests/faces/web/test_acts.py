"""Acts as JSON: repeated, refused, wrong; two who want the same inches; a disk that fails."""

from __future__ import annotations

import errno
import json
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

import small_shop as small
from faces.web.conftest import PASSWORDS, PINS, Server, act, issue, posts
from rackwright.faces import run_log
from rackwright.faces.acts.types import TYPES
from rackwright.faces.web.acting import AT_THE_COMMAND_LINE, verbs
from rackwright.record import Record


def test_an_act_repeated_gives_its_answer_and_does_nothing_twice(served: Server) -> None:
    sawyer = served.browser("sawyer")
    first, again = (issue(sawyer, "T-01", posts(), "one") for _ in range(2))
    assert (first.status_code, first.json()["repeated"]) == (200, False)
    assert (again.status_code, again.json()) == (200, {**first.json(), "repeated": True})
    (event,) = served.events("issue")
    assert [event.seq] == [one["seq"] for one in first.json()["recorded"]]
    assert (event.by, event.known.signed, event.act_id) == (small.PEOPLE["sawyer"], "pin", "one")


def test_a_program_too_enters_late_what_was_done(served: Server) -> None:
    fields = {"hold": "H-1", "reason": "a dent", "serials": ["SN-1"]}
    body = {"act_id": "one", "fields": fields, "pin": PASSWORDS["lead"], "done": f"{small.DAY}T08:15Z"}
    lead = served.browser("lead")
    assert lead.post("/acts/hold", json={**body, "done": 7}).status_code == 422
    assert lead.post("/acts/hold", json=body).status_code == 200
    assert lead.post("/acts/hold", json={**body, "done": small.DAY}).status_code == 409, "another act"
    (event,) = served.events("hold")
    assert event.body["late"] == {"done": f"{small.DAY}T08:15Z"}


def test_many_answers_to_one_act_asked_at_once_are_one_act(served: Server) -> None:
    sawyer = served.browser("sawyer")
    with ThreadPoolExecutor(8) as all_of_them:
        said = list(all_of_them.map(lambda _: issue(sawyer, "T-01", posts(), "one").json(), range(8)))
    assert sorted(one["repeated"] for one in said) == [False] + [True] * 7
    assert len({one["recorded"][0]["seq"] for one in said}) == len(served.events("issue")) == 1


def test_the_same_id_for_something_else_or_by_another_is_refused(served: Server) -> None:
    sawyer, stores = served.browser("sawyer"), served.browser("stores")
    assert issue(sawyer, "T-01", posts(), "one").status_code == 200
    others = [issue(sawyer, "T-02", posts(), "one"), issue(sawyer, "T-01", posts("SN-2"), "one"),
              issue(stores, "T-01", posts(), "one", PINS["stores"]),
              act(sawyer, "count", "one", PINS["sawyer"], stock_id="F-1", quantity=10)]  # fmt: skip
    assert [(said.status_code, said.json()["trouble"][0]["code"]) for said in others] == [(409, "RW506")] * 4
    assert not any(said.json()["repeated"] for said in others)
    assert len(served.events("issue")) == 1


def test_a_refusal_repeated_is_the_same_refusal_once(served: Server) -> None:
    stores = served.browser("stores")
    first, again = (issue(stores, "T-01", posts(), "no", PINS["stores"]) for _ in range(2))
    assert (first.status_code, first.json()["repeated"]) == (409, False)
    (told,) = first.json()["trouble"]
    assert (told["code"], "does not hold the role saw" in told["found"], bool(told["do"])) == (
        "RW516",
        True,
        True,
    )
    assert again.json()["repeated"]
    assert [one["code"] for one in again.json()["trouble"]] == ["RW516"]
    assert len(served.events("refusal")) == 1


def test_an_act_by_the_command_line_is_no_answer_to_a_request(served: Server) -> None:
    from rackwright.work.metal.counting import count

    at = small.station(served.record, "sawyer")
    count(at.by(at.person, PINS["sawyer"]), "F-1", None, 10, 0, "mine")
    said = act(served.browser("sawyer"), "count", "mine", PINS["sawyer"], stock_id="F-1", quantity=10)
    assert (said.status_code, said.json()["trouble"][0]["code"]) == (409, "RW506")


def test_each_act_is_signed_by_itself(served: Server) -> None:
    sawyer = served.browser("sawyer")
    codes = [
        issue(sawyer, "T-01", posts(), f"a-{pin}", pin).json()["trouble"][0]["code"] for pin in ("", "7393")
    ]
    assert codes == ["RW545", "RW546"]
    assert served.events("issue") == []


def test_two_who_want_the_same_inches_get_one_winner_and_one_clear_refusal(served: Server) -> None:
    browsers = [served.browser("sawyer") for _ in range(2)]
    wanted = [posts("SN-1"), posts("SN-2")]
    with ThreadPoolExecutor(2) as both:
        said = list(both.map(lambda n: issue(browsers[n], "T-01", wanted[n], f"want-{n}"), range(2)))
    assert sorted(one.status_code for one in said) == [200, 409]
    (no,) = next(one for one in said if one.status_code == 409).json()["trouble"]
    assert (no["code"], "is issued to PO-1" in no["found"]) == ("RW511", True)
    assert [event.type for event in served.record.events()[-2:]].count("issue") == 1


@pytest.mark.parametrize(("body", "code"), [
    (b"", "RW004"), (b"{", "RW007"), (b"[]", "RW103"), (b'{"act_id": 1, "fields": {}}', "RW504"),
    (b'{"fields": {}}', "RW504"), (b'{"act_id": "", "fields": {}}', "RW504"),
    (b'{"act_id": "a\\u0000", "fields": {"piece": "p", "label": "l"}}', "RW504"),
    (b'{"act_id": "a", "fields": {"piece": "p"}}', "RW504"),
    (b'{"act_id": "a", "fields": {}, "by": "A. Quill"}', "RW504"),
    (b'{"act_id": "a", "fields": {"piece": "\\ud800", "label": "l"}}', "RW007"),
    (b'{"act_id": "a", "fields": {"piece": 7, "label": "l"}}', "RW504"), (b"\xff", "RW003"),
    (b"[" * 5000, "RW005"),
])  # fmt: skip
def test_a_bad_request_gets_one_clear_fault_and_changes_nothing(
    served: Server, body: bytes, code: str
) -> None:
    sawyer, before = served.browser("sawyer"), served.record.head()
    said = sawyer.post("/acts/label", content=body, headers={"Content-Type": "application/json"})
    assert said.status_code == 422, said.text
    assert code in [one["code"] for one in said.json()["trouble"]]
    assert all(one["found"] and one["do"] for one in said.json()["trouble"])
    assert served.record.head() == before


def test_an_act_that_is_none_and_an_id_that_is_none_are_told_together(served: Server) -> None:
    said = served.browser("sawyer").post("/acts/none", json={"act_id": " ", "fields": {}})
    assert [one["field"] for one in said.json()["trouble"]] == ["verb", "act_id"]


def test_what_reads_the_servers_files_or_types_a_secret_stays_at_the_command_line(served: Server) -> None:
    sawyer = served.browser("sawyer")
    stay = set(TYPES) - set(verbs())
    assert set(AT_THE_COMMAND_LINE) | {"receive", "bake", "passport"} <= stay
    for verb in [*stay, "nothing"]:
        said = act(sawyer, verb, f"act {verb}", PINS["sawyer"])
        assert (said.status_code, said.json()["trouble"][0]["field"]) == (422, "verb")


def test_a_form_of_another_site_cannot_speak_as_json(served: Server) -> None:
    said = served.browser("sawyer").post("/acts/label", content=b"{}", headers={"Content-Type": "text/plain"})
    assert (said.status_code, said.json()["trouble"][0]["field"]) == (422, "Content-Type")


def test_a_fault_of_ours_is_told_without_its_insides(
    served: Server, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    sawyer = served.browser("sawyer")
    monkeypatch.setenv("RACKWRIGHT_LOG", str(tmp_path / "log"))
    run_log.begin()
    assert issue(sawyer, "T-01", posts(), "one").status_code == 200
    monkeypatch.setattr(type(served.room), "look", lambda _: 1 / 0)
    said = sawyer.get("/head")
    assert (said.status_code, said.json()["trouble"][0]["code"]) == (500, "RW000")
    assert "division" not in said.text
    assert said.headers["X-Content-Type-Options"] == "nosniff"
    assert "a fault of ours: ZeroDivisionError" in capsys.readouterr().err
    logged = [json.loads(line) for line in (tmp_path / "log").read_text().splitlines()]
    acted, fault = (one for one in logged if one["from"] == "rackwright")
    seq = served.record.head().size
    assert (acted["what"], acted["verb"], acted["recorded"], acted["codes"]) == (
        "act",
        "issue",
        [[seq, "issue"]],
        [],
    )
    assert (fault["what"], fault["kind"]) == ("fault of ours", "ZeroDivisionError")
    monkeypatch.delenv("RACKWRIGHT_LOG")
    run_log.begin()


def test_head_and_trace_are_those_of_the_record(served: Server) -> None:
    sawyer = served.browser("sawyer")
    head = served.record.head()
    assert sawyer.get("/head").json() == {"format": "rackwright/head/1", "size": head.size, "root": head.root}
    heat = sawyer.get(f"/trace/heat/{small.TUBE_HEAT}").json()
    assert {one["stock_id"] for one in heat["stock"]} == {"T-01", "T-02", "T-05"}
    assert sawyer.get("/trace/heat/H0000").status_code == 409
    assert sawyer.get("/trace/secrets/x").status_code == 422
    assert sawyer.get("/trace/piece/..%2F..%2Fshop.key").status_code == 409


def test_an_error_of_the_disk_at_commit_is_never_tried_again(
    served: Server, monkeypatch: pytest.MonkeyPatch
) -> None:
    sawyer, tries = served.browser("sawyer"), []

    def broken(*args: object) -> None:
        tries.append(args)
        raise OSError(errno.EIO, "Input/output error")

    monkeypatch.setattr(Record, "_write", broken)
    said = issue(sawyer, "T-01", posts(), "one")
    assert (said.status_code, said.json()["trouble"][0]["code"]) == (500, "RW501")
    assert len(tries) == 1
    assert len(served.failures) == 1, "the process is told to end"
    monkeypatch.undo()
    assert issue(sawyer, "T-01", posts(), "one").status_code == 500, "and this one does nothing more"

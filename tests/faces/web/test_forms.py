"""Acts by a form in the browser, with files that go with them: kept by their hash, once, or refused in one sentence."""

from __future__ import annotations

import re
import shutil
from hashlib import sha256
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from httpx import Response

import rackwright
import small_shop as small
from faces.web.conftest import PASSWORDS, Server
from rackwright.faces.web.acting import verbs
from rackwright.record import audit

PHOTO = b"\x89PNG a photo of a dent"
PAGE = {"accept": "text/html"}


def send(
    browser: TestClient,
    verb: str,
    files: list[tuple[str, bytes]],
    act_id: str = "",
    pin: str = "",
    done: str = "",
    scan: bytes = b"",
    **typed: str,
) -> Response:
    """As a browser does: the form is drawn, filled in and sent."""
    drawn = browser.get(f"/do/{verb}").text
    id = act_id or re.findall(r'name="act_id" value="([^"]+)"', drawn)[0]
    assert all(f'name="key.{name}"' in drawn for name in typed)
    data = {"act_id": id, "pin": pin or PASSWORDS["lead"], "done": done} | {
        f"key.{name}": text for name, text in typed.items()
    }
    parts = [("attach", (name, body, "image/png")) for name, body in files]
    parts += [("scan", ("sheet.pdf", scan, "application/pdf"))] if scan else []
    return browser.post(f"/do/{verb}", data=data, files=parts or [("attach", ("", b""))], headers=PAGE)  # type: ignore[arg-type]


def hold(
    browser: TestClient, files: list[tuple[str, bytes]], act_id: str = "", name: str = "H-1"
) -> Response:
    return send(browser, "hold", files, act_id, hold=name, reason="a dent", serials="SN-1, SN-2")


def no(said: Response) -> list[str]:
    return re.findall(r'<p class="no"><b>No.</b> ([^<]+)</p>', said.text)


def test_every_act_of_a_request_has_a_form_with_its_keys(served: Server) -> None:
    lead = served.browser("lead")
    listed = re.findall(r'href="/do/(\w+)"', lead.get("/do").text)
    assert listed == list(verbs())
    for verb, kind in verbs().items():
        page = lead.get(f"/do/{verb}").text
        assert re.findall(r'name="key\.(\w+)"', page) == [one.name for one in kind.fields]
        assert '<input type="file" name="attach" multiple>' in page


def test_a_file_is_kept_by_its_hash_with_the_act_and_a_repeated_act_does_nothing_twice(
    served: Server,
) -> None:
    lead = served.browser("lead")
    said, again = (hold(lead, [(r"C:\photos\dent.png", PHOTO)], "one") for _ in range(2))
    assert (said.status_code, again.status_code) == (200, 200)
    assert "nothing was done twice" in again.text
    (event,) = served.events("hold")
    digest = sha256(PHOTO).hexdigest()
    assert event.body["attached"] == [{"name": "dent.png", "file": digest}]
    assert event.body["serials"] == ["SN-1", "SN-2"]
    assert (event.known.signed, served.record.get_file(digest)) == ("password", PHOTO)
    other = hold(lead, [("dent.png", PHOTO + b" another")], "one")
    assert (other.status_code, "RW506" in other.text) == (409, True)
    assert len(served.events("hold")) == 1
    assert audit(served.record).whole == ()


def test_what_is_no_file_for_an_act_is_refused_in_one_sentence_and_the_typed_stands_again(
    served: Server, monkeypatch: pytest.MonkeyPatch
) -> None:
    lead = served.browser("lead")
    monkeypatch.setattr("rackwright.faces.acts.desk.MAX_PAPER", 1000)
    for files, found in (
        ([("empty.txt", b"")], "holds nothing"),
        ([("a.png", PHOTO), ("a.png", PHOTO)], "is attached twice"),
        ([("large.png", b"x" * 1001)], "has 1001 bytes"),
        ([("n" * 81, PHOTO)], "is no name for paper"),
    ):
        said = hold(lead, files)
        assert said.status_code == 422
        (sentence,) = no(said)
        assert found in sentence
        assert files[-1][0][:50] in sentence
        assert 'value="a dent"' in said.text
        assert PASSWORDS["lead"] not in said.text
    assert served.events("hold") == []
    many = hold(lead, [(f"{n}.png", PHOTO) for n in range(21)])
    assert (many.status_code, "at most 20 files" in many.text) == (422, True)


def test_a_request_that_is_too_large_is_not_read(served: Server) -> None:
    lead = served.browser("lead")
    size = {"content-length": "60000000", **PAGE}
    said = lead.post(
        "/do/hold", content=b"x", headers=size | {"content-type": "multipart/form-data; boundary=x"}
    )
    assert said.status_code == 413
    assert no(said) == ["Content-Length: 60000000 bytes; at most 50200000 bytes are read [RW549]"]
    assert (
        served.browser().post("/do/hold", headers={"content-length": "9"}, content=b"x" * 9).status_code
        == 401
    )


def test_a_refused_act_keeps_what_was_attached_and_the_next_try_is_another_act(served: Server) -> None:
    lead = served.browser("lead")
    said = send(lead, "lift", [("mail.pdf", b"%PDF")], "one", hold="H-9", reason="looked at")
    assert (said.status_code, len(no(said))) == (409, 1)
    assert 'name="act_id" value="one"' not in said.text
    (refusal,) = [one for one in served.events("refusal") if one.act_id == "one"]
    assert sha256(b"%PDF").hexdigest() in refusal.refs.files
    wrong = send(lead, "lift", [], "two", hold="H-9", reason=" ")
    assert (wrong.status_code, 'name="act_id" value="two"' in wrong.text) == (422, True)


def test_an_order_gets_its_line_by_the_form_of_a_definition_in_the_shops_folder(served: Server) -> None:
    shop = Path(rackwright.__file__).parent / "demo" / "shop"
    for name in ("standards", "variations"):
        shutil.copytree(shop / name, served.room.folder / name)
    lead = served.browser("lead")
    assert "<option>variations/er-47-v12.toml</option>" in lead.get("/do/order_line").text
    line = {"order": small.ORDER, "line": "2", "document": "CT-1 rev B", "quantity": "1", "due": "2026-05-08"}
    for outside in ("../shop/variations/er-47-v12.toml", "/etc/passwd", "shop.key", "standards/none.toml"):
        (sentence,) = no(send(lead, "order_line", [], **line, file=outside))
        assert "is no definition here" in sentence
    assert send(lead, "order_line", [], **line, file="variations/er-47-v12.toml").status_code == 200
    (event,) = served.events("order_line")
    assert (event.body["variation"], event.body["line"]) == ("ER-47-V12", "2")


def test_what_was_done_on_paper_is_entered_with_its_day_and_the_scan(served: Server) -> None:
    lead = served.browser("lead")
    said = {"hold": "H-1", "reason": "a dent", "serials": "SN-1"}
    (sentence,) = no(send(lead, "hold", [], "one", scan=b"%PDF", **said))
    assert sentence.startswith("done: the scan of a paper, and no day of it; give the day")
    wrong = send(lead, "hold", [], "two", done="yesterday", scan=b"%PDF", **said)
    assert "done at &#39;yesterday&#39;" in wrong.text
    assert 'name="done" value="yesterday"' in wrong.text
    for _ in range(2):
        assert send(lead, "hold", [], "three", done=small.DAY, scan=b"%PDF", **said).status_code == 200
    (event,) = served.events("hold")
    assert event.body["late"] == {"done": small.DAY, "paper": sha256(b"%PDF").hexdigest()}
    assert served.record.get_file(event.body["late"]["paper"]) == b"%PDF"
    other = send(lead, "hold", [], "three", done=small.DAY, scan=b"%PDF another", **said)
    assert (other.status_code, "RW506" in other.text) == (409, True)


def test_nothing_is_kept_of_who_gives_a_wrong_pin(served: Server) -> None:
    lead = served.browser("lead")
    wrong = send(lead, "hold", [("dent.png", PHOTO)], "one", pin="0000", done=small.DAY, scan=b"%PDF",
                 hold="H-1", reason="a dent", serials="SN-1")  # fmt: skip
    assert (wrong.status_code, "RW546" in wrong.text) == (409, True)
    kept = {path.name for path in served.record.attachments.iterdir()}
    assert not kept & {sha256(data).hexdigest() for data in (PHOTO, b"%PDF")}
    (refusal,) = [one for one in served.events("refusal") if one.act_id == "one"]
    assert refusal.refs.files == ()


def test_an_act_of_the_command_line_says_so(served: Server) -> None:
    lead = served.browser("lead")
    for said in (
        lead.get("/do/quote", headers=PAGE),
        lead.post("/do/quote", data={"act_id": "q"}, headers=PAGE),
    ):
        assert said.status_code == 422
        assert (
            "it computes for a while, and every station would wait; use `rackwright log quote`" in said.text
        )
    assert "there is no such act" in lead.get("/do/none", headers=PAGE).text

"""Who gets in, for how long, and from where: every route of the table is tried."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from fastapi.routing import APIRoute
from fastapi.testclient import TestClient

import small_shop as small
from faces.web.conftest import HERE, PASSWORDS, PINS, Server, act, serving
from private_postgres import Place
from rackwright.faces.web.app import HEADERS, create_app
from rackwright.faces.web.sessions import ABSOLUTE, IDLE, Sessions
from rackwright.work.people.founding import add_person
from rackwright.work.people.signers import set_secret

OPEN = {("GET", "/sign-in"), ("POST", "/sign-in"), ("GET", "/style.css")}


def routes(served: Server) -> list[tuple[str, str]]:
    app = create_app(served.room)
    table = [(method, route.path) for route in _all(app.routes) for method in sorted(route.methods)]
    assert len(table) >= 12
    return table


def _all(routes: list[object]) -> list[APIRoute]:
    """Those of the app, with those of its routers."""
    found = []
    for route in routes:
        if isinstance(route, APIRoute):
            found.append(route)
        else:
            below = getattr(route, "original_router", None) or getattr(route, "routes", None)
            found += _all(list(getattr(below, "routes", below) or []))
    return found


def filled(path: str) -> str:
    return re.sub(
        r"\{verb\}", "label", re.sub(r"\{kind\}", "heat", re.sub(r"\{name:path\}", small.TUBE_HEAT, path))
    )


def test_each_route_but_the_few_that_are_open_refuses_without_a_session(served: Server) -> None:
    stranger, before = served.browser(), served.record.head()
    for method, path in routes(served):
        said = stranger.request(
            method, filled(path), json={"act_id": "a", "fields": {}} if method == "POST" else None
        )
        assert ((method, path) in OPEN) == (said.status_code != 401), (method, path, said.status_code)
        assert {name: said.headers[name] for name in HEADERS} == HEADERS
    forged = served.browser()
    forged.cookies.set("session", "A" * 43)
    assert forged.get("/head").status_code == 401
    assert served.record.head() == before


@pytest.mark.parametrize("headers", [
    {"Origin": "http://elsewhere.example"}, {"Origin": "null"}, {"Sec-Fetch-Site": "cross-site"}, {},
    {"Sec-Fetch-Site": "same-site"}, {"Origin": HERE, "Sec-Fetch-Site": "cross-site"},
    {"Origin": "http://127.0.0.1:9"}, {"Origin": "", "Sec-Fetch-Site": ""},
])  # fmt: skip
def test_each_post_from_elsewhere_is_refused(served: Server, headers: dict[str, str]) -> None:
    sawyer, before = served.browser("sawyer"), served.record.head()
    del sawyer.headers["Origin"]
    posts = [path for method, path in routes(served) if method == "POST"]
    assert len(posts) >= 6
    for path in posts:
        assert sawyer.post(filled(path), headers=headers).status_code == 403, path
    assert served.record.head() == before
    assert sawyer.get("/head").status_code == 200, "and nobody was signed out"


def test_no_route_changes_anything_by_get(served: Server) -> None:
    sawyer, before = served.browser("sawyer"), served.record.head()
    for method, path in routes(served):
        if method == "GET":
            assert sawyer.get(filled(path)).status_code in (200, 303), path
    assert served.record.head() == before


def test_a_token_is_new_at_each_login_and_dead_after_logout_at_the_server(served: Server) -> None:
    sawyer = served.browser("sawyer")
    first = sawyer.cookies["session"]
    sawyer.post("/sign-in", data={"person": small.PEOPLE["sawyer"], "password": PASSWORDS["sawyer"]})
    second = sawyer.cookies["session"]
    assert len({first, second}) == 2
    assert min(len(first), len(second)) >= 43, "256 bits"
    other = served.browser()
    other.cookies.set("session", first)
    assert other.get("/head").status_code == 401, "the session before ended at the login after it"
    assert sawyer.post("/sign-out").status_code == 303
    other.cookies.set("session", second)
    assert other.get("/head").status_code == 401


def test_a_session_ends_when_nobody_used_it_and_after_a_shift(served: Server) -> None:
    sawyer = served.browser("sawyer")
    served.seconds[0] += IDLE - 1
    assert sawyer.get("/head").status_code == 200
    served.seconds[0] += IDLE
    assert sawyer.get("/head").status_code == 401
    again = served.browser("sawyer")
    for _ in range(int(ABSOLUTE / (IDLE / 2)) - 1):
        served.seconds[0] += IDLE / 2
        assert again.get("/head").status_code == 200
    served.seconds[0] += IDLE / 2
    assert again.get("/head").status_code == 401


def test_who_leaves_or_sets_another_password_is_out(served: Server) -> None:
    sawyer, stores = served.browser("sawyer"), served.browser("stores")
    lead = small.station(served.record, "lead")
    add_person(
        lead.by(lead.person, PASSWORDS["lead"]),
        small.PEOPLE["stores"],
        ["receiving"],
        active=False,
        again=True,
    )
    at = small.station(served.record, "sawyer")
    assert sawyer.get("/head").status_code == 200
    set_secret(at.by(at.person, PASSWORDS["sawyer"]), "password", "another five words for it")
    assert [sawyer.get("/head").status_code, stores.get("/head").status_code] == [401, 401]


def test_the_cookie_is_for_no_script_and_no_other_site(served: Server) -> None:
    for loopback in (True, False):
        browser = TestClient(create_app(served.room, loopback), base_url=HERE, headers={"Origin": HERE},
                             follow_redirects=False)  # fmt: skip
        said = browser.post(
            "/sign-in", data={"person": small.PEOPLE["sawyer"], "password": PASSWORDS["sawyer"]}
        )
        cookie = said.headers["set-cookie"].lower()
        assert "httponly" in cookie
        assert "samesite=strict" in cookie
        assert ("secure" in cookie, cookie.startswith("__host-")) == (not loopback, not loopback)


def test_a_name_that_was_made_to_point_here_is_refused(served: Server) -> None:
    assert served.browser("sawyer").get("/head", headers={"Host": "rebound.example:8047"}).status_code == 400


def test_ten_wrong_passwords_in_a_row_slow_it_down_and_the_answer_says_nothing(served: Server) -> None:
    browser, answers = served.browser(), set()
    for _ in range(10):
        said = browser.post(
            "/sign-in", data={"person": small.PEOPLE["sawyer"], "password": "a wrong one, surely"}
        )
        answers.add((said.status_code, said.text))
    right = browser.post("/sign-in", data={"person": small.PEOPLE["sawyer"], "password": PASSWORDS["sawyer"]})
    answers.add((right.status_code, right.text))
    stranger = browser.post("/sign-in", data={"person": "N. Obody", "password": "a wrong one, surely"})
    answers.add((stranger.status_code, stranger.text))
    assert len(answers) == 1
    assert [answer[0] for answer in answers] == [403]
    wrong = [(event.by, event.body["code"]) for event in served.events("refusal")]
    assert wrong == [(small.PEOPLE["sawyer"], "RW546")] * 5, (
        "while the person waits, nothing is tried nor recorded"
    )


def test_ten_wrong_pins_in_a_row_slow_it_down(served: Server) -> None:
    sawyer = served.browser("sawyer")
    codes = [act(sawyer, "count", f"c-{n}", "1357", stock_id="F-1", quantity=10).json()["trouble"][0]["code"]
             for n in range(10)]  # fmt: skip
    assert codes == ["RW546"] * 5 + ["RW545"] * 5
    assert act(sawyer, "count", "c-right", PINS["sawyer"], stock_id="F-1", quantity=10).status_code == 409


def test_a_shop_without_passwords_is_told_the_command(tmp_path: Path, place: Place) -> None:
    from rackwright import record as records

    path = place(tmp_path)
    with records.create(path) as record:
        small.founded_by_name(small.station(record, "lead"))
    for served in serving(path):
        page = served.browser().get("/sign-in").text
        assert (
            "rackwright log secret --by &#39;NAME&#39; kind=password" in page
            or "rackwright log secret" in page
        )
        said = served.browser().post("/sign-in", data={"person": small.PEOPLE["lead"], "password": ""})
        assert said.status_code == 403, "there is no default account"


def test_what_is_long_or_of_no_stated_length_is_not_read(served: Server) -> None:
    sawyer = served.browser("sawyer")
    assert sawyer.post("/acts/label", content=b" " * 300_000).status_code == 413
    assert sawyer.post("/acts/label", content=iter([b"{}"])).status_code == 413


def test_sessions_keep_no_token() -> None:
    sessions = Sessions()
    token = sessions.begin("A", "v")
    assert token not in repr(sessions)
    assert sessions.of(token) is not None

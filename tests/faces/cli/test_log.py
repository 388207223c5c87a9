"""`new`, `log`, `freeze` as they are typed: a shop from nothing to cut pieces, and every way of going wrong."""

from __future__ import annotations

import json
import shutil
import stat
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from faces.cli.shop_desk import Run, answer, by_name, certificates_only, runner, troubles
from rackwright import record
from rackwright.faces.acts.types import TYPES
from rackwright.record import EVENTS, project
from rackwright.seal import read_key

LEAD, STORES, SAWYER, INSPECTOR = "A. Quill", "B. Tarrow", "C. Vint", "E. Lund"
REVISION = "ER-47-V12 rev A"
POSTS = ("V1/post.front-left", "V1/post.front-right")


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    return runner(capsys, monkeypatch)


@pytest.fixture(scope="module")
def begun(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop with its people, a gauge, stock received and judged, an order frozen and numbered: made once."""
    folder = tmp_path_factory.mktemp("begun") / "shop"
    steps: list[list[str]] = [
        ["new", str(folder), "--name", "Fell Bench Works (invented)", "--by", LEAD],
        _log(LEAD, "person", f"person={STORES}", "roles=receiving"),
        _log(LEAD, "person", f"person={SAWYER}", "roles=saw, machining, inspector"),
        _log(LEAD, "person", f"person={INSPECTOR}", "roles=inspector"),
        _log(LEAD, "gauge", "gauge=LB-2", "kind=length bench", "due=2999-01-01", "uncertainty=0.002 in"),
        _log(LEAD, "gauge", "gauge=CA-11", "kind=caliper", "due=2001-01-01", "uncertainty=0.002 in"),
        _log(STORES, "receive"),
        _log(INSPECTOR, "accept", "stock_id=T-01,T-02"),
        _log(LEAD, "order", "order=PO-7", "customer=A survey", "file={shop}/variations/er-47-v12.toml", "quantity=1",
             "due=2999-06-01", "document=CT-1"),
        ["freeze", "{shop}/variations/er-47-v12.toml", "--by", LEAD, "--order", "PO-7"],
        _log(LEAD, "serial", "order=PO-7", f"revision={REVISION}", "serials=V1"),
        _log(LEAD, "approval_reference", f"revision={REVISION}", "reference=DA-1", "holder=An invented holder",
             "document=DA-1 rev A", "date=2026-03-09"),
    ]  # fmt: skip
    program = (
        "import json, sys\n"
        "from rackwright.faces.cli.main import _run\n"
        "for args in json.load(sys.stdin): assert _run(args) == 0, args\n"
    )
    told = [[part.replace("{shop}", str(folder)) for part in step] for step in steps]
    told = [step if step[0] != "log" else [*step, "--shop", str(folder)] for step in told]
    for part in (told[:1], told[1:]):
        done = subprocess.run([sys.executable, "-c", program], input=json.dumps(part), capture_output=True, text=True,
                              check=False)  # fmt: skip
        assert done.returncode == 0, done.stdout + done.stderr
        if part == told[:1]:
            certificates_only(by_name(folder, LEAD))
    return folder


def _log(by: str, type: str, *words: str) -> list[str]:
    return ["log", type, "--by", by, *words]


@pytest.fixture
def shop(begun: Path, tmp_path: Path) -> Path:
    shutil.copytree(begun, tmp_path / "shop")
    return tmp_path / "shop"


def bodies(folder: Path, type: str) -> list[dict[str, Any]]:
    with record.open(folder / "record.db") as made:
        return [dict(event.body) for event in made.events() if event.type == type]


def act(run: Run, shop: Path, by: str, type: str, *words: str, code: int = 0) -> Any:
    return answer(run, *_log(by, type, *words), "--shop", shop, code=code)


# --- new -----------------------------------------------------------------------------------------


def test_a_new_shop_is_sound_named_and_keyed(run: Run, tmp_path: Path) -> None:
    name = 'Fell "Bench" \\ Wörks #1'
    document = answer(run, "new", tmp_path / "shop", "--name", name, "--by", LEAD)
    folder = tmp_path / "shop"
    text = (folder / "shop.key").read_text("ascii")
    seed, faults = read_key(text)
    assert seed is not None
    assert not faults
    assert document["key_id"] in text
    assert stat.S_IMODE((folder / "shop.key").stat().st_mode) == 0o600
    (found,) = bodies(folder, "found")
    assert found == {"shop": name, "demo": False, "key_id": document["key_id"], "signatures": True}
    assert bodies(folder, "person") == [
        {"person": LEAD, "roles": ["lead"], "every_act": True, "again": False}
    ]
    files = [*sorted((folder / "standards").iterdir()), *sorted((folder / "variations").iterdir())]
    assert answer(run, "check", *files)
    assert answer(run, "audit", folder)["answers"] == {"whole": True, "balanced": True, "believed": True}
    assert answer(run, "plan", files[0], "--effort", "0", "--shop", folder)
    assert {path.name for path in tmp_path.iterdir()} == {"shop"}
    other = answer(run, "new", tmp_path / "other", "--name", name, "--by", LEAD)
    assert other["key_id"] != document["key_id"]


def test_a_folder_that_holds_something_is_refused(run: Run, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x", "utf-8")
    for folder in (tmp_path, tmp_path / "file"):
        assert troubles(run, "new", folder, "--name", "N", "--by", "B", code=2) == ["RW001"]
    assert [path.name for path in tmp_path.iterdir()] == ["file"]
    (tmp_path / "empty").mkdir()
    assert answer(run, "new", tmp_path / "empty", "--name", "N", "--by", "B")
    assert troubles(run, "new", tmp_path / "x", "--name", " ", "--by", "", code=2) == ["RW001", "RW001"]
    assert not (tmp_path / "x").exists()


# --- log list ------------------------------------------------------------------------------------


def test_what_is_recorded_is_listed(run: Run, shop: Path) -> None:
    document = answer(run, "log", "list", "--shop", shop)
    assert [event["seq"] for event in document["events"]] == [*range(1, document["head"]["size"] + 1)]
    people = answer(run, "log", "list", "--type", "person", "--after", "3", "--shop", shop)["events"]
    assert [event["body"]["person"] for event in people] == [SAWYER, INSPECTOR]
    code, out, err = run("log", "list", "--type", "gauge", "--type", "order", "--shop", shop)
    assert (code, err) == (0, "")
    assert [line.split()[2] for line in out.splitlines()[1:]] == ["gauge", "gauge", "order"]
    assert "LB-2, length bench, 2999-01-01" in out
    assert "Did you mean 'gauge'" in run("log", "list", "--type", "gage", "--shop", shop)[2]


def test_the_list_needs_no_engineering_library(shop: Path) -> None:
    program = (
        "import sys\n"
        "for name in ('numpy', 'scipy', 'pydantic', 'pint', 'typst', 'highspy'): sys.modules[name] = None\n"
        "from rackwright.faces.cli.main import main\nmain(['log', 'list', '--json'])\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=False, cwd=shop
    )
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["events"]


# --- recording -----------------------------------------------------------------------------------


def test_every_type_is_an_event_and_its_example_holds_its_keys() -> None:
    for name, kind in TYPES.items():
        assert name in EVENTS
        names = [field.name for field in kind.fields]
        assert len(set(names)) == len(names)
        for field in kind.fields:
            if field.needed:
                assert f"{field.name}=" in kind.example, (name, field.name)


def test_recorded_is_told_with_its_number(run: Run, shop: Path) -> None:
    size = answer(run, "log", "list", "--shop", shop)["head"]["size"]
    code, out, err = run(*_log(LEAD, "person", "person=F. Moss", "roles=assembly"), "--shop", shop)
    assert (code, out, err) == (0, f"recorded {size + 1} person\n", "")
    document = act(run, shop, LEAD, "person", "person=G. Holt", "roles=assembly")
    assert [event["seq"] for event in document["recorded"]] == [size + 2]


def test_stock_is_received_once_from_its_file(run: Run, shop: Path) -> None:
    before = len(bodies(shop, "receive"))
    assert before > 25, "some 25 bars and offcuts, and counted stock"
    code, out, err = run(*_log(STORES, "receive"), "--shop", shop)
    assert (code, out, err) == (0, "", "nothing to record\n")
    assert troubles(run, *_log(STORES, "receive", "stock_id=T-01"), "--shop", shop, code=1) == ["RW517"]
    assert troubles(run, *_log(STORES, "receive", "stock_id=T-999"), "--shop", shop, code=2) == ["RW108"]
    (first, *_) = bodies(shop, "receive")
    assert first["length_uncertainty_nm"] == 793_750  # 1/32 in, from shop.toml


def test_a_certificate_is_judged_as_it_was_recorded(run: Run, shop: Path) -> None:
    document = act(run, shop, INSPECTOR, "accept", "stock_id=T-03,T-06,T-07", code=1)
    assert [event["body"]["stock_id"] for event in document["recorded"]] == ["T-03"]
    assert document["trouble"][0]["found"].startswith("T-06, heat H4533: Fty is 34.2 ksi")
    assert troubles(run, *_log(INSPECTOR, "accept", "stock_id=T-07"), "--shop", shop, code=1) == ["RW510"]
    assert [body["about"] for body in bodies(shop, "refusal")] == ["T-06", "T-07"], "a refusal is an event"
    act(run, shop, STORES, "quarantine", "stock_id=T-06", "reason=Fty below the specification")


def test_from_the_saw_to_the_gauge(run: Run, shop: Path) -> None:
    pieces = f"pieces={', '.join(POSTS)}"
    act(run, shop, SAWYER, "issue", "stock_id=T-01", "job=PO-7", f"revision={REVISION}", pieces)
    length = project_of(shop).stock["T-01"].length_nm
    made = ", ".join(f"{piece}=40.5 in" for piece in POSTS)
    cut = ["stock_id=T-01", "job=PO-7", f"pieces={made}", "kerf=1/4 in", "trim=1/2 in", "machine=S1"]
    wrong = act(run, shop, SAWYER, "cut", *cut, "rest=100 in", code=1)
    assert wrong["trouble"][0]["code"] == "RW517"
    left = length - 2 * round(40.5 * 25_400_000) - round(0.75 * 25_400_000)
    visit = [*cut, f"rest={left / 1_000_000:.6f} mm", "remnant=T-01-R", "label=L-9"]
    act(run, shop, SAWYER, "cut", *visit)
    state = project_of(shop)
    assert state.pieces[POSTS[0]].heat == state.stock["T-01"].heat
    assert state.stock["T-01-R"].length_nm == left
    reading = [f"piece={POSTS[0]}", "readings=length=40.501 in"]
    assert troubles(run, *_log(SAWYER, "measure", *reading, "gauge=LB-2"), "--shop", shop, code=1) == [
        "RW516"
    ]
    assert troubles(run, *_log(INSPECTOR, "measure", *reading, "gauge=CA-11"), "--shop", shop, code=1) == [
        "RW512"
    ]
    act(run, shop, INSPECTOR, "measure", *reading, "gauge=LB-2")
    (measured,) = bodies(shop, "measure")
    assert (measured["value"], measured["within"]) == ("40.501 in", True)
    unknown = act(
        run, shop, INSPECTOR, "measure", f"piece={POSTS[0]}", "readings=width=1 in", "gauge=LB-2", code=2
    )
    assert "'width' is no characteristic" in unknown["trouble"][0]["found"]
    assert troubles(run, *_log(INSPECTOR, "release", "serial=V1"), "--shop", shop, code=1) == ["RW515"]
    assert answer(run, "audit", shop)["answers"]["balanced"] is True


def project_of(folder: Path) -> Any:
    with record.open(folder / "record.db") as made:
        return project(made.events())


def test_a_hold_stops_and_is_lifted_by_a_person_with_a_reason(run: Run, shop: Path) -> None:
    issue = ["stock_id=T-01", "job=PO-7", f"revision={REVISION}", f"pieces={POSTS[0]}"]
    heat = project_of(shop).stock["T-01"].heat
    hold = ["hold=H-1", "reason=heat in doubt"]
    assert troubles(run, *_log(STORES, "hold", *hold, f"heats={heat}"), "--shop", shop, code=1) == ["RW516"]
    assert troubles(run, *_log(INSPECTOR, "hold", *hold), "--shop", shop, code=1) == ["RW517"]
    assert troubles(run, *_log(INSPECTOR, "hold", *hold, "heats=H0"), "--shop", shop, code=1) == ["RW503"]
    act(run, shop, INSPECTOR, "hold", *hold, f"heats={heat}")
    assert troubles(run, *_log(INSPECTOR, "hold", *hold, f"heats={heat}"), "--shop", shop, code=1) == [
        "RW517"
    ]
    refused = act(run, shop, SAWYER, "issue", *issue, code=1)
    assert "hold H-1 by E. Lund: heat in doubt" in refused["trouble"][0]["found"]
    assert troubles(run, *_log(SAWYER, "lift", "hold=H-1", "reason=in a hurry"), "--shop", shop, code=1) == [
        "RW516"
    ]
    assert troubles(run, *_log(LEAD, "lift", "hold=H-1"), "--shop", shop, code=2) == ["RW504"]
    act(run, shop, LEAD, "lift", "hold=H-1", "reason=mill confirmed the heat, MAIL-90")
    act(run, shop, SAWYER, "issue", *issue)
    act(run, shop, SAWYER, "return", "stock_id=T-01", "job=PO-7")


def test_a_question_blocks_what_it_says_until_it_is_answered(run: Run, shop: Path) -> None:
    act(run, shop, LEAD, "question", "question=Q1", "text=Rating?", "owner=customer", "due=2999-01-01",
        "blocks=sign_out, release", "order=PO-7")  # fmt: skip
    issue = ["stock_id=T-01", "job=PO-7", f"revision={REVISION}", f"pieces={POSTS[0]}"]
    assert troubles(run, *_log(SAWYER, "issue", *issue), "--shop", shop, code=1) == ["RW513"]
    act(run, shop, LEAD, "answer", "question=Q1", "answer=5000 lbf", "document=MAIL-77")
    act(run, shop, SAWYER, "issue", *issue)


def test_means_of_the_shop(run: Run, shop: Path) -> None:
    act(run, shop, INSPECTOR, "gauge_bad", "gauge=LB-2", "reason=dropped", "since=2026-01-01")
    assert project_of(shop).gauges["LB-2"].state == "bad"
    assert troubles(run, *_log(INSPECTOR, "gauge_bad", "gauge=X", "reason=r"), "--shop", shop, code=1) == [
        "RW503"
    ]
    act(run, shop, LEAD, "supplier", "supplier=Fell Coaters", "scope=coat, bake")
    assert project_of(shop).suppliers["Fell Coaters"].scope == ("coat", "bake")
    assert troubles(run, *_log(STORES, "supplier", "supplier=S", "scope=coat"), "--shop", shop, code=1) == [
        "RW516"
    ]
    act(run, shop, LEAD, "at_risk", f"revision={REVISION}", "reason=customer accepts it")
    assert project_of(shop).revisions[REVISION].at_risk_by == LEAD
    assert troubles(run, *_log(LEAD, "at_risk", "revision=none", "reason=r"), "--shop", shop, code=1) == [
        "RW514"
    ]


def test_a_report_is_prepared_checked_and_asked_for(run: Run, shop: Path, tmp_path: Path) -> None:
    for person in ("G. Marl", "H. Orrest"):
        act(run, shop, LEAD, "person", f"person={person}", "roles=engineer")
    act(run, shop, "G. Marl", "row_confirmed", "row=AN4", "document=INVENTED-HANDBOOK-1", "place=table 8.1.5")
    act(run, shop, "G. Marl", "report", "report=SR-1", f"revision={REVISION}")
    own = _log("G. Marl", "report_checked", "report=SR-1", "letter=A")
    assert troubles(run, *own, "--shop", shop, code=1) == ["RW533"]
    act(run, shop, "H. Orrest", "report_checked", "report=SR-1", "letter=A", "remarks=worked again")
    gone = _log("H. Orrest", "report_released", "report=SR-1", "letter=A")
    assert troubles(run, *gone, "--shop", shop, code=1) == ["RW531"]
    last = project_of(shop).report_of(REVISION)
    assert (last.prepared_by, last.checked_by, last.released_by) == ("G. Marl", "H. Orrest", "")
    assert not any("row AN4 " in words for _, words in last.reasons)
    out = tmp_path / "out"
    assert run("papers", "V1", "--only", "report", "--out", out, "--shop", shop)[0] == 0
    assert (out / "SR-1-A.pdf").read_bytes() == (shop / "attachments" / last.file).read_bytes()


def test_an_act_of_ones_own_id_is_done_once(run: Run, shop: Path) -> None:
    words = [
        *_log(LEAD, "person", "person=F. Moss", "roles=assembly"),
        "--act",
        "mine-1",
        "--shop",
        str(shop),
    ]
    first, second = answer(run, *words), answer(run, *words)
    assert first == second
    refused = [*_log(SAWYER, "person", "person=G", "roles=saw"), "--act", "mine-2", "--shop", str(shop)]
    assert [troubles(run, *refused, code=1) for _ in range(2)] == [["RW516"]] * 2
    assert len(bodies(shop, "refusal")) == 1


@pytest.mark.parametrize("suffix", ["toml", "json"])
def test_keys_from_a_file_and_words_over_them(run: Run, shop: Path, tmp_path: Path, suffix: str) -> None:
    path = tmp_path / f"person.{suffix}"
    values = {"person": "F. Moss", "roles": ["assembly", "saw"]}
    text = json.dumps(values) if suffix == "json" else 'person = "F. Moss"\nroles = ["assembly", "saw"]\n'
    path.write_text(text, "utf-8")
    (event,) = act(run, shop, LEAD, "person", "roles=inspector", "--from", str(path))["recorded"]
    assert event["body"] == {"person": "F. Moss", "roles": ["inspector"], "every_act": True, "again": False}
    path.write_text(text.replace("roles", "rolls"), "utf-8")
    found = act(run, shop, LEAD, "person", "--from", str(path), code=2)["trouble"]
    assert [(t["code"], t["field"].strip("/")) for t in found] == [("RW504", "rolls"), ("RW504", "roles")]
    assert found[0]["line"] == (1 if suffix == "json" else 2)
    path.write_bytes(b"\x00\xff")
    assert act(run, shop, LEAD, "person", "--from", str(path), code=2)["trouble"]


@pytest.mark.parametrize(
    ("type", "words", "fields"),
    [
        ("person", ["person=", "roles=,"], ["person", "roles"]),
        ("person", ["nonsense"], ["nonsense", "person", "roles"]),
        ("gauge", ["gauge=G", "kind=k", "due=tomorrow", "uncertainty=little"], ["due"]),
        ("order", ["order=O", "customer=C", "file=f", "quantity=-1", "due=2999-01-01", "document=D"], ["quantity"]),
        ("cut", ["stock_id=T", "job=J", "pieces=a", "kerf=1", "trim=x in", "rest=-1 in", "machine=S"],
         ["pieces", "kerf", "trim", "rest"]),
        ("issue", ["stock_id=T-01", "job=J", "revision=R"], ["pieces"]),
        ("measure", ["piece=V1/rack", "readings=x", "gauge=LB-2"], ["readings"]),
        ("disposition", ["nonconformance=N", "decision=scrap", "reason=r", "signer=S"], ["signer"]),
        ("operation", ["step=bake", "pieces=V1/x"], ["step"]),
    ],
)  # fmt: skip
def test_wrong_keys_and_values_are_told_all_at_once(
    run: Run, shop: Path, type: str, words: list[str], fields: list[str]
) -> None:
    size = answer(run, "log", "list", "--shop", shop)["head"]["size"]
    found = act(run, shop, LEAD, type, *words, code=2)["trouble"]
    assert [trouble["field"] for trouble in found] == fields
    assert answer(run, "log", "list", "--shop", shop)["head"]["size"] == size


def test_a_body_that_the_record_does_not_take_is_a_fault(run: Run, shop: Path) -> None:
    found = act(run, shop, LEAD, "gauge", "gauge=G", "kind=k", "due=2999-01-01", "uncertainty=little", code=2)
    assert [(t["code"], t["field"]) for t in found["trouble"]] == [("RW504", "/body/uncertainty")]


@pytest.mark.parametrize(
    ("type", "words", "code"),
    [
        ("accept", ["stock_id=X"], "RW503"),
        ("quarantine", ["stock_id=X", "reason=r"], "RW503"),
        ("issue", ["stock_id=X", "job=J", "revision=R", "pieces=V1/p"], "RW503"),
        ("issue", ["stock_id=X", "job=J", "revision=R", "serials=V1", "quantity=1"], "RW516"),
        ("return", ["stock_id=X", "job=J"], "RW511"),
        ("cut", ["stock_id=X", "job=J", "pieces=V1/p=1 in", "kerf=1 in", "trim=0 in", "rest=0 in", "machine=S"],
         "RW511"),
        ("profile_cut", ["stock_id=X", "job=J", "machine=S"], "RW511"),
        ("piece", ["stock_id=X", "job=J", "revision=R", "pieces=V1/p"], "RW503"),
        ("mill", ["pieces=V1/p"], "RW503"),
        ("operation", ["step=deburr", "pieces=V1/p"], "RW516"),
        ("send_out", ["supplier=S", "process=p", "pieces=V1/p", "document=D"], "RW516"),
        ("receive_back", ["supplier=S", "process=p", "pieces=V1/p"], "RW517"),
        ("measure", ["piece=X/p", "readings=length=1 in", "gauge=G"], "RW503"),
        ("release", ["serial=X"], "RW503"),
        ("ship", ["serials=X", "to=T", "document=D"], "RW503"),
        ("replace", ["serial=X", "old=a", "new=b", "reason=r", "work=W", "document=d", "holder=h", "date=2026-01-01",
                     "fate=kept", "place=p"], "RW503"),
        ("come_back", ["serial=X", "from=F", "document=d", "reason=r", "condition=c", "day=2026-01-01"], "RW503"),
        ("service_work", ["serial=X", "work=W", "kind=rework", "text=t", "document=d", "holder=h", "date=2026-01-01"],
         "RW503"),
        ("back_to_service", ["serial=X", "works=W"], "RW503"),
        ("swap", ["serial=X", "item=i", "by_whom=customer", "document=d", "mass=1 lb"], "RW503"),
        ("nonconformance", ["nonconformance=N", "text=t", "pieces=V1/p"], "RW503"),
        ("disposition", ["nonconformance=N", "decision=scrap", "reason=r"], "RW503"),
        ("lift", ["hold=H", "reason=r"], "RW503"),
        ("answer", ["question=Q", "answer=a", "document=d"], "RW503"),
        ("approval_reference", ["revision=R", "reference=r", "holder=h", "document=d", "date=2026-01-01"], "RW514"),
        ("serial", ["order=X", "revision=R", "serials=V2"], "RW503"),
    ],
)  # fmt: skip
def test_what_the_record_does_not_know_is_a_no_of_the_gate(
    run: Run, shop: Path, type: str, words: list[str], code: str
) -> None:
    """By a person with every role but assembly, so that the gate asked is the one of the thing itself."""
    act(
        run,
        shop,
        LEAD,
        "person",
        f"person={LEAD}",
        "roles=lead,receiving,saw,machining,inspector",
        "again=yes",
    )
    assert troubles(run, *_log(LEAD, type, *words), "--shop", shop, code=1) == [code]


def test_a_stranger_may_nothing(run: Run, shop: Path) -> None:
    assert troubles(run, *_log("Nobody", "person", "person=N", "roles=lead"), "--shop", shop, code=1) == [
        "RW516"
    ]


def test_types_that_are_recorded_elsewhere_say_where(run: Run, shop: Path) -> None:
    assert "rackwright freeze FILE" in run("log", "freeze", "--by", LEAD)[2]
    for type in ("refusal", "head", "weld"):
        assert run("log", type, "--by", LEAD)[0] == 2
    assert run("log", "person", "person=N")[0] == 2, "without --by"
    assert troubles(run, *_log(LEAD, "person"), "--from", "nowhere.toml", "--shop", shop, code=2) == ["RW002"]


# --- freeze --------------------------------------------------------------------------------------


def test_a_freeze_keeps_every_text_it_stands_on(shop: Path) -> None:
    (frozen,) = bodies(shop, "freeze")
    assert [text["name"] for text in frozen["texts"]] == ["base/er-47", "definition", "shop"]
    kept = {text["name"]: (shop / "attachments" / text["file"]).read_bytes() for text in frozen["texts"]}
    assert kept["definition"] == (shop / "variations" / "er-47-v12.toml").read_bytes()
    assert kept["base/er-47"] == (shop / "standards" / "er-47.toml").read_bytes()
    assert kept["shop"] == (shop / "shop.toml").read_bytes()


def test_a_freeze_is_refused_twice_and_for_what_is_not_sound(run: Run, shop: Path) -> None:
    file = shop / "variations" / "er-47-v12.toml"
    assert troubles(run, "freeze", file, "--by", LEAD, "--order", "PO-7", code=1) == ["RW517"]
    assert troubles(run, "freeze", file, "--by", SAWYER, "--order", "PO-7", code=1) == ["RW516"]
    text = file.read_text("utf-8")
    file.write_text(text.replace('revision = "A"', 'revision = "B"', 1), "utf-8")
    (event,) = answer(run, "freeze", file, "--by", LEAD, "--order", "PO-7", "--act", "mine")["recorded"]
    assert event["body"]["revision"] == "ER-47-V12 rev B"
    file.write_text(text.replace('height = "43.5 in"', 'height = "43.5"'), "utf-8")
    assert troubles(run, "freeze", file, "--by", LEAD, "--order", "PO-7", code=2) == ["RW104"]
    file.write_text(text.replace('height = "24 in"', 'height = "31 in"'), "utf-8")
    assert all(
        code.startswith("RW2") for code in troubles(run, "freeze", file, "--by", LEAD, "--order", "P", code=2)
    )


# --- files attached ------------------------------------------------------------------------------


def test_files_are_attached_by_name_and_hash(run: Run, shop: Path, tmp_path: Path) -> None:
    hold = ("log", "hold", "--by", INSPECTOR, "hold=H-1", "reason=dent, as on the photo", "stock_ids=T-01")
    photo, chart, empty = (tmp_path / name for name in ("dent.jpg", "chart.csv", "empty.txt"))
    photo.write_bytes(b"\xff\xd8 dent")
    chart.write_text("t,mm\n0,0.2\n", "utf-8")
    empty.write_bytes(b"")
    (tmp_path / "two").mkdir()
    other = shutil.copy(photo, tmp_path / "two" / "dent.jpg")
    odd = shutil.copy(photo, tmp_path / "d\x1b[31ment.jpg")
    for wrong, code in (((tmp_path / "none.jpg",), "RW002"), ((empty,), "RW504"), ((photo, other), "RW504"),
                        ((odd,), "RW504"), ((tmp_path,), "RW002")):  # fmt: skip
        given = [word for path in wrong for word in ("--attach", path)]
        assert troubles(run, *hold, *given, "--shop", shop, code=2) == [code]
    assert bodies(shop, "hold") == []
    [done] = answer(run, *hold, "--attach", photo, "--attach", chart, "--shop", shop)["recorded"]
    assert [one["name"] for one in done["body"]["attached"]] == ["dent.jpg", "chart.csv"]
    assert sorted(one["file"] for one in done["body"]["attached"]) == done["refs"]["files"]
    assert "with 2 attached, H-1" in run("log", "list", "--type", "hold", "--shop", shop)[1]
    assert answer(run, "audit", shop)["answers"]["whole"]
    (shop / "attachments" / done["refs"]["files"][0]).unlink()
    assert "RW507" in troubles(run, "audit", shop, code=1)


def test_an_act_id_that_comes_again_is_of_the_same_act_or_is_refused(run: Run, shop: Path) -> None:
    """Who repeats it with other words would be told `recorded` of what was not done."""
    hold = [*_log(LEAD, "person", "person=F. Moss", "roles=assembly"), "--act", "mine-9", "--shop", shop]
    first = answer(run, *hold)["recorded"]
    assert answer(run, *hold)["recorded"] == first
    for other in (_log(LEAD, "person", "person=G. Holt", "roles=assembly"),
                  _log(LEAD, "person", "person=F. Moss", "roles=lead"),
                  _log(SAWYER, "person", "person=F. Moss", "roles=assembly")):  # fmt: skip
        assert troubles(run, *other, "--act", "mine-9", "--shop", shop, code=1) == ["RW506"]


@pytest.mark.parametrize(
    "name", ["../outside.pdf", "/etc/hostname", "shop.key", "shop.pub", "record.db", "signers/x", "."]
)
def test_a_paper_is_of_the_shops_folder_and_never_its_key(run: Run, shop: Path, name: str) -> None:
    """What an act names is kept beside the record and leaves with every backup."""
    (shop.parent / "outside.pdf").write_bytes(b"x")
    before = sorted(shop.glob("attachments/*"))
    words = ["question=Q1", "answer=yes", "document=M-1", f"file={name}"]
    found = troubles(run, *_log(LEAD, "answer", *words), "--shop", shop, code=2)
    assert found in (["RW504"], ["RW002"])
    assert found == ["RW504"] or name == "."
    assert sorted(shop.glob("attachments/*")) == before


def test_what_turns_a_line_round_is_not_printed(run: Run, shop: Path) -> None:
    act(run, shop, LEAD, "person", "person=C. Vane", "roles=saw")
    code, _, err = run(*_log(LEAD, "person", "person=C.\u202eVane", "roles=inspector"), "--shop", shop)
    assert code == 1
    assert "C.?Vane looks like C. Vane" in err

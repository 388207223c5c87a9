"""PINs and passwords: who may set them, what a wrong one does, what an act that should be signed says without."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

import small_shop as small
from rackwright import record as records
from rackwright.record import Record
from rackwright.seal import key_id, new_seed, public_key, write_key
from rackwright.trouble import Stopped
from rackwright.work.keeping.heads import signed_words, signing_rule
from rackwright.work.keeping.hindsight import in_hindsight
from rackwright.work.people.founding import add_gauge, add_person, found
from rackwright.work.people.signers import give_code, require_signatures, set_secret
from rackwright.work.people.signing import PASSWORD, PIN, weakness
from rackwright.work.quality.holding import hold
from rackwright.work.station import Station

WORDS, NUMBER = "four tubes and a block", "7392"
LEAD, SAWYER = "A. Quill", "C. Vint"


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    """A shop with a lead and a sawyer, and its key beside it."""
    seed = new_seed()
    (tmp_path / "shop.key").write_text(write_key(seed))
    with records.create(tmp_path / "record.db") as record:
        lead = at(record, LEAD)
        small.founded_by_name(lead, key_id(public_key(seed)))
        add_person(lead, SAWYER, ["saw"])
        yield record


def at(record: Record, person: str, secret: str = "", time: str = "09:00:00") -> Station:
    return replace(small.station(record, person), secret=secret, now=lambda: f"{small.DAY}T{time}Z")


def why(do: object, *args: object, **more: object) -> str:
    with pytest.raises(Stopped) as stopped:
        do(*args, **more)  # type: ignore[operator]
    (trouble,) = stopped.value.troubles
    return f"{trouble.code} {trouble.found}"


def acts(record: Record, secret: str, time: str = "09:00:00") -> str:
    """An act of the lead's; by what they were known, or why not."""
    try:
        name = f"CA-{record.head().size}"
        done = add_gauge(at(record, LEAD, secret, time), name, "caliper", "2026-09-01", "0.001 in")
    except Stopped as stopped:
        return stopped.troubles[0].code
    return done.events[0].known.signed


def test_the_first_secret_is_a_leads_and_the_others_come_by_a_one_time_code(record: Record) -> None:
    assert "RW545" in why(set_secret, at(record, SAWYER), PIN, NUMBER)
    set_secret(at(record, LEAD), PASSWORD, WORDS)
    set_secret(at(record, LEAD, WORDS), PIN, NUMBER)
    _, code = give_code(at(record, LEAD, WORDS), SAWYER)
    assert "RW546" in why(set_secret, at(record, SAWYER, "not the code"), PIN, "8264")
    set_secret(at(record, SAWYER, code), PIN, "8264")
    assert "RW546" in why(set_secret, at(record, SAWYER, code), PIN, "9153"), "a code dies on use"
    set_secret(at(record, SAWYER, "8264"), PIN, "9153")
    kinds = [
        (e.body["person"], e.body.get("kind", "code"), e.known.signed)
        for e in record.events()
        if e.type in ("secret", "code")
    ]
    assert kinds == [(LEAD, "password", ""), (LEAD, "pin", "password"), (SAWYER, "code", "password"),
                     (SAWYER, "pin", "code"), (SAWYER, "pin", "pin")]  # fmt: skip


def test_who_has_a_secret_signs_and_who_must_not_be_let_in_is_refused_on_record(record: Record) -> None:
    assert acts(record, "") == ""
    set_secret(at(record, LEAD), PASSWORD, WORDS)
    set_secret(at(record, LEAD, WORDS), PIN, NUMBER)
    assert [acts(record, secret) for secret in ("", NUMBER, WORDS, "7393")] == [
        "RW545",
        "pin",
        "password",
        "RW546",
    ]
    assert "only a PIN" not in why(
        add_person, at(record, LEAD, NUMBER), "G. New", ["saw"]
    )  # a wrong password
    add_person(at(record, LEAD, WORDS), "G. New", ["saw"])
    assert [e.body["code"] for e in record.events() if e.type == "refusal"] == ["RW545", "RW546", "RW546"]
    text = b"".join(records.export_lines(record.events())).decode()
    assert not any(word in text for word in (NUMBER, WORDS, "argon2"))


def test_a_shop_requires_signatures_from_its_first_act_until_its_lead_says_why_not(tmp_path: Path) -> None:
    with records.create(tmp_path / "record.db") as record:
        found(at(record, LEAD), "Fell Bench Works (invented)", False, "ab" * 32)
        assert "nobody of Fell Bench Works (invented) can sign yet" in why(
            add_person, at(record, LEAD), SAWYER, ["saw"]
        )
        assert "nobody" in why(require_signatures, at(record, LEAD), False, "no tablets yet")
        set_secret(at(record, LEAD), PASSWORD, WORDS)
        add_person(at(record, LEAD, WORDS), SAWYER, ["saw", "inspector"])
        assert "has no PIN or password" in why(hold, at(record, SAWYER), "H-1", "a dent", heats=["H1"])
        assert signing_rule(record.events()) == "every act is to be signed since event 1"
        assert in_hindsight(list(record.events())) == []
        assert "no reason is given" in why(require_signatures, at(record, LEAD, WORDS), False, " ")
        require_signatures(at(record, LEAD, WORDS), False, "no tablets yet")
        with pytest.raises(Stopped) as stopped:
            hold(at(record, SAWYER), "H-1", "a dent", heats=["H1"])
        assert stopped.value.troubles[0].code == "RW503", "by name again, and there is no such heat"
        seq = next(event.seq for event in record.events() if event.type == "signatures")
        assert (
            signing_rule(record.events())
            == f"acts need not be signed since event {seq}, by {LEAD}: no tablets yet"
        )
        assert in_hindsight(list(record.events())) == []


def test_a_founding_whose_secrets_are_not_signed_by_what_stood_is_found(tmp_path: Path) -> None:
    with records.create(tmp_path / "record.db") as record:
        found(at(record, LEAD), "Fell Bench Works (invented)", False, "ab" * 32)
        set_secret(at(record, LEAD), PASSWORD, WORDS)
        set_secret(at(record, LEAD, WORDS), PIN, NUMBER)
        forged = [replace(e, known=replace(e.known, signed="")) for e in record.events()]
    assert [one.where.field for one in in_hindsight(forged)] == ["event 4"], "the first secret only is free"


def test_a_pin_alone_does_not_say_who_may_act(record: Record) -> None:
    set_secret(at(record, LEAD), PIN, NUMBER)
    assert "has only a PIN" in why(add_person, at(record, LEAD, NUMBER), "G. New", ["saw"])


def test_a_row_of_wrong_ones_makes_its_person_wait_and_the_right_one_ends_it(record: Record) -> None:
    set_secret(at(record, LEAD), PIN, NUMBER)
    assert [acts(record, "1234") for _ in range(5)] == ["RW546"] * 5
    assert acts(record, NUMBER, "09:00:59") == "RW545", "not even the right one, for a minute"
    assert acts(record, "1234", "09:01:00") == "RW546"
    assert acts(record, NUMBER, "09:02:59") == "RW545", "then for two"
    assert acts(record, NUMBER, "09:03:00") == "pin"
    assert acts(record, "1234", "09:03:01") == "RW546"
    assert acts(record, NUMBER, "09:03:02") == "pin", "the row has ended"


def test_where_all_must_sign_nobody_acts_by_name_and_the_audit_sees_who_did(
    record: Record, tmp_path: Path
) -> None:
    assert "RW545" in why(require_signatures, at(record, LEAD), True, "tablets at all stations")
    set_secret(at(record, LEAD), PASSWORD, WORDS)
    require_signatures(at(record, LEAD, WORDS), True, "tablets at all stations")
    assert "has no PIN or password" in why(hold, at(record, SAWYER), "H-1", "a dent")
    add_person(at(record, LEAD, WORDS), SAWYER, ["saw"], again=True)
    assert in_hindsight(list(record.events())) == []
    assert signed_words(record.events()) == "5 acts: 2 by password; 3 by name only"
    forged = [replace(e, known=replace(e.known, signed="")) if e.seq == record.head().size else e
              for e in record.events()]  # fmt: skip
    assert [one.code for one in in_hindsight(forged)] == ["RW545"]


def test_a_verifier_put_in_anothers_place_is_not_believed(record: Record, tmp_path: Path) -> None:
    set_secret(at(record, LEAD), PASSWORD, WORDS)
    _, code = give_code(at(record, LEAD, WORDS), SAWYER)
    set_secret(at(record, SAWYER, code), PIN, "8264")
    leads, sawyers = (
        next(e.body["verifier"] for e in record.events() if e.type == "secret" and e.body["person"] == who
) for who in (LEAD, SAWYER)
    )  # fmt: skip
    shutil.copy(tmp_path / "signers" / sawyers, tmp_path / "signers" / leads)
    assert acts(record, "8264") == "RW546"
    assert (tmp_path / "signers").stat().st_mode & 0o77 == 0


def test_a_lead_whose_verifiers_are_lost_is_known_by_the_shops_key(record: Record, tmp_path: Path) -> None:
    set_secret(at(record, LEAD), PASSWORD, WORDS)
    shutil.rmtree(tmp_path / "signers")
    assert "not beside the record" in why(hold, at(record, LEAD, WORDS), "H-1", "a dent")
    other = write_key(new_seed())
    mine = (tmp_path / "shop.key").read_text()
    (tmp_path / "shop.key").write_text(other)
    assert "not beside the record" in why(set_secret, at(record, LEAD), PASSWORD, "another four words")
    (tmp_path / "shop.key").write_text(mine)
    done = set_secret(at(record, LEAD), PASSWORD, "another four words")
    assert done.events[0].known.signed == "shop key"
    assert acts(record, "another four words") == "password"


def test_a_code_ends_after_a_week(record: Record) -> None:
    set_secret(at(record, LEAD), PASSWORD, WORDS)
    _, code = give_code(at(record, LEAD, WORDS), SAWYER)
    late = replace(at(record, SAWYER, code), now=lambda: "2026-12-01T09:00:00Z")
    assert "the one-time code ended on" in why(set_secret, late, PIN, "8264")


@pytest.mark.parametrize(("kind", "secret", "why"), [
    (PIN, "123", "4 to 12 digits"), (PIN, "12a4", "4 to 12 digits"), (PIN, "1111", "all the same or run"),
    (PIN, "4567", "all the same or run"), (PIN, "9876", "all the same or run"), (PASSWORD, "short", "15 to 256"),
    (PASSWORD, "a" * 300, "15 to 256"), (PASSWORD, "abababababababab", "first that anybody"),
    (PASSWORD, "PasswordPassword", "first that anybody"),
])  # fmt: skip
def test_what_is_no_pin_or_password(kind: str, secret: str, why: str) -> None:
    assert why in weakness(kind, secret)


def test_any_characters_make_a_password() -> None:
    assert weakness(PASSWORD, "ümlaut und 🦉 und leer") == ""
    assert weakness(PIN, "7392") == ""


def test_a_credential_covers_only_its_operations_and_the_last_lead_stays(record: Record) -> None:
    lead = at(record, LEAD)
    add_person(
        lead,
        "E. Lund",
        ["inspector"],
        credential="VT-2 card 118",
        until="2026-12-31",
        scopes=["measure"],
    )
    assert record.events()[-1].body["scopes"] == ["measure"]
    assert "is the only lead" in why(add_person, lead, LEAD, ["saw"])
    add_person(lead, "F. Alder", ["lead"])
    add_person(lead, LEAD, ["saw"], active=False, again=True)
    assert "is not a person of this shop" in why(add_person, lead, "G. New", ["saw"])

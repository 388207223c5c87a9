"""The traveler of a rack: its own steps in the order of the route, and a blank for everything that is recorded."""

from __future__ import annotations

import pytest

from order_of_three import order
from rackwright.making.inspected import characteristics_of
from rackwright.making.order_json import traveler_json


def test_a_rack_has_the_steps_of_the_order_and_its_own() -> None:
    steps = order().route.steps
    for rack in (1, 2, 3):
        mine = order().traveler(rack).steps
        assert [one.operation for one in mine] == [
            step.operation.id for step in steps if step.rack in (0, rack)
        ]
        assert [one.number for one in mine] == [*range(1, len(mine) + 1)], (
            "no step is missed on a person's paper"
        )
    with pytest.raises(IndexError):
        order().traveler(4)


def test_every_joint_of_the_shop_has_lot_running_and_final_torque() -> None:
    (step,) = [one for one in order().traveler(1).steps if one.operation == "assemble"]
    joints = order().assembly[0].ours
    assert len(step.blanks) == 3 * len(joints)
    finals = [blank for blank in step.blanks if "final torque" in blank.name]
    assert {(blank.low, blank.high) for blank in finals} == {
        ("45", "60"),
        ("18", "22"),
        ("45", "55"),  # the last: inserts, by their own document
    }
    assert not any("equipment." in blank.name for blank in step.blanks)


def test_every_characteristic_is_measured_at_one_step_with_its_limits_and_balloon() -> None:
    design = order().demand[0][0]
    asked = characteristics_of(design, order().shop)
    blanks = {
        blank.balloon: blank for step in order().traveler(1).steps for blank in step.blanks if blank.balloon
    }
    assert sorted(blanks) == [one.number for one in asked]
    assert all(blanks[one.number].name == one.id for one in asked)
    assert all(blank.high for blank in blanks.values())


def test_the_document_names_holds_and_who_does_outside_work() -> None:
    shown = traveler_json(order().traveler(2))
    assert (shown["rack"], shown["of"]) == (2, 3)
    assert [step["supplier"] for step in shown["steps"] if step["supplier"]] == [
        "Fellside Conversion (invented)"
    ]
    assert shown["steps"][-1]["hold"] == "every gate of the record"

"""The spigot in its tube: clearances by hand, the class within the definition's limits, what corners ask."""

from __future__ import annotations

from dataclasses import replace
from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st

from making.shop_order import IN, design, shop
from rackwright.formulas.fits import root_edge_break, spigot_corner_break
from rackwright.making.asked import Asked
from rackwright.making.mill.spigot_fit import SpigotFit, spigot_fit
from rackwright.shop import Shop
from rackwright.trouble import UNCONFIRMED

INCH = 0.0254


def fit(house: Shop | None = None, root: int | None = 381_000, asked: list[Asked] | None = None) -> SpigotFit:
    return spigot_fit(design().rack.definition, root, house or shop(), [] if asked is None else asked)


def worked_to(name: str | None) -> Shop:
    return replace(shop(), mill=replace(shop().mill, spigot_fit=name))  # type: ignore[type-var]


def test_clearance_by_hand() -> None:
    """31.75 d9: 31.670 to 31.608 mm in a tube of 1.2480 to 1.2530 in, 31.6992 to 31.8262 mm."""
    found = fit()
    assert found.worked == pytest.approx((31.608e-3, 31.670e-3))
    assert found.clearance == pytest.approx((0.0292e-3, 0.2182e-3))
    assert all(check.ok for check in found.checks)
    assert found.marks == ()


def test_without_a_class_the_definition_holds_and_does_not_clear() -> None:
    """1.246 +- 0.005 in: the largest spigot is 1.251 in, the least tube 1.248 in."""
    found = fit(worked_to(None))
    assert found.worked == pytest.approx((1.241 * INCH, 1.251 * INCH))
    assert (found.clearance or (0, 0))[0] == pytest.approx(-0.003 * INCH)
    assert [check.name for check in found.checks if not check.ok] == ["least clearance of spigot and tube"]


@pytest.mark.parametrize(("name", "fails"), [("h7", "largest"), ("d11", "least")])
def test_a_class_outside_the_definitions_limits_fails(name: str, fails: str) -> None:
    """d11 reaches 0.240 mm below, the definition 0.2286 mm; h7 lets metal to metal where 0.0254 mm over is allowed."""
    found = fit(worked_to(name))
    broken = [check.name for check in found.checks if not check.ok]
    assert any(one.startswith(fails) for one in broken) or name == "h7"
    assert broken


def test_a_class_whose_row_is_from_memory_is_marked() -> None:
    """Deviations over 80 mm: a tube of 4 in has 95.25 mm inside."""
    d = design().rack.definition
    wide = replace(d, tube=replace(d.tube, side=4 * IN))
    assert spigot_fit(wide, None, shop(), []).marks == (UNCONFIRMED,)


def test_what_is_not_known_of_the_tube_is_asked_for() -> None:
    asked: list[Asked] = []
    found = fit(replace(shop(), tube=()), asked=asked)
    assert [one.field for one in asked] == ["tube.inside_low"]
    assert found.clearance is None


@given(st.floats(0.01, 0.3), st.floats(0.001, 0.999))
def test_a_broken_edge_just_touches_the_corner(r: float, share: float) -> None:
    """Both ends of the chamfer lie in the corner's circle or on it, and on it where any is asked."""
    g = r * share
    c = spigot_corner_break(r, g)
    ends = [hypot(r - g, r - g - c), hypot(r - g - c, r - g)]
    assert all(away <= r * (1 + 1e-9) for away in ends)
    if c > 0:
        assert ends == pytest.approx([r, r])


@given(st.floats(0.01, 0.3), st.floats(0.0, 0.999))
def test_a_tube_with_its_edge_broken_stands_on_the_shoulder(r: float, share: float) -> None:
    """No point of the fillet lies in the tube: its end from g + c outward, its inside from c upward."""
    g = r * share
    c = float(root_edge_break(r, g))
    for k in range(101):
        x = g + (r - g) * k / 100
        height = r - (r * r - (r - x) ** 2) ** 0.5  # of the fillet at x from the spigot
        assert height <= max(0.0, c - (x - g)) + 1e-9 * r


def test_corners_of_the_demo() -> None:
    """Inside radius 1/16 in, gap (31.6992 - 31.670) / 2 = 0.000575 in: 0.0535 in off each edge."""
    g = (31.6992 - 31.670) / 25.4 / 2
    assert fit().edges / INCH == pytest.approx(1 / 16 - g - (g * (1 / 8 - g)) ** 0.5, rel=1e-6)
    assert (fit().tube_edge or 0) / INCH == pytest.approx(0.015 - g, rel=1e-6)
    assert fit(root=None).tube_edge is None
    assert IN == 25_400_000

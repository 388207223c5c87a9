"""Straps: components of a pull, and how parallel straps share.

Elevation is measured up from the floor plane, azimuth in it from the forward axis. One pull serves each
direction by its component only: counting a strap fully in all three is the usual mistake. Straps of one
section side by side share by stiffness, one over length, so the shorter takes more.
Source: statics.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Limit, Num, Symbol

__all__ = ["sling_factor", "strap_across", "strap_along", "strap_share", "strap_up"]


def strap_along(S: Num, el: Num, az: Num) -> Num:
    return S * np.cos(el) * np.cos(az)


def strap_across(S: Num, el: Num, az: Num) -> Num:
    return S * np.cos(el) * np.sin(az)


def strap_up(S: Num, el: Num) -> Num:
    return S * np.sin(el)


def strap_share(L: Num) -> Num:
    stiffness = 1 / np.asarray(L, dtype=float)
    return stiffness / stiffness.sum(axis=-1, keepdims=True)


def sling_factor(el: Num) -> Num:
    return 1 / np.sin(el)


S = Symbol("S", "force", "lbf", "tension of the strap")
el = Symbol("el", "angle", "deg", "elevation above the floor plane")
az = Symbol("az", "angle", "deg", "azimuth from the forward axis")
F = Symbol("F", "force", "lbf", "component")

CARDS = (
    Card(
        "strap_along", "forward component of a strap", (S, el, az), F, "S*cos(el)*cos(az)", "statics", "derived",
        strap_along,
    ),
    Card(
        "strap_across", "sideward component of a strap", (S, el, az), F, "S*cos(el)*sin(az)", "statics",
        "derived", strap_across,
    ),
    Card("strap_up", "vertical component of a strap", (S, el), F, "S*sin(el)", "statics", "derived", strap_up),
    Card(
        "strap_share", "share of parallel straps of one section",
        (Symbol("L", "length", "in", "lengths", many=True),),
        Symbol("share", "1", "", "part of the load taken by each", many=True), "1/L/total(1/L)",
        "compatibility of equal stretch", "derived", strap_share,
    ),
    Card(
        "sling_factor", "tension over load of a strap that resists across a plane", (el,),
        Symbol("k", "1", "", "tension for a unit load"), "1/sin(el)", "statics; public sling charts", "read",
        sling_factor, limits=(Limit("el*180/pi", low=5, why="degrees; flat straps cannot hold across"),),
    ),
)  # fmt: skip

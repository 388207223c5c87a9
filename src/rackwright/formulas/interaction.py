"""Interaction: several load ratios at once, as the factor on all loads together that brings failure.

A ratio R is applied over allowable. The margin of safety is the factor less one. Where compression
amplifies bending the factor is the root of an equation and not one over a sum: 1/utilisation - 1
would overstate it. All ratios zero gives an infinite factor.
Sources: MIL-HDBK-5 chapter 8 and Bruhn D1 for bolts, Melcon & Hoblit for lugs, amplified beam-column theory.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Limit, Num, Symbol

__all__ = [
    "beam_column_shear",
    "bending_compression",
    "bending_shear",
    "equivalent_stress",
    "lug_oblique",
    "margin_from_factor",
    "powers",
    "second_order_bending",
    "shear_ratio",
    "shear_tension",
    "tension_bending",
    "tension_ratio",
]


def bending_compression(Rc: Num, Rb: Num, RE: Num) -> Num:
    total = np.add(np.add(Rc, Rb), RE)
    with np.errstate(divide="ignore"):
        return np.divide(2, total + np.sqrt(total**2 - 4 * np.multiply(Rc, RE)))


def beam_column_shear(Rc: Num, Rb: Num, RE: Num, Rs: Num) -> Num:
    every = np.broadcast_arrays(np.asarray(Rc, float), Rb, RE, Rs)
    flat = [np.ascontiguousarray(ratio).reshape(-1) for ratio in every]
    factor = np.empty(len(flat[0]))
    for start in range(0, len(factor), BLOCK):
        part = slice(start, start + BLOCK)
        factor[part] = _smaller_root(*(ratio[part] for ratio in flat))
    return factor.reshape(every[0].shape)[()]


BLOCK = 1 << 12  # ratios at once: what Newton's steps work on stays near the processor


def _smaller_root(c: np.ndarray, b: np.ndarray, e: np.ndarray, s: np.ndarray) -> np.ndarray:
    """k of (k c + k b/(1 - k e))² + (k s)² = 1.

    The left side is convex in k, and at least one at the root without shear, `high`: Newton falls onto the smaller
    root from there. Were the first term proportional to k, the root would be where this begins; it is not below.
    """
    unloaded = c + b + s == 0
    with np.errstate(divide="ignore", invalid="ignore"):
        high = np.minimum(bending_compression(c, b, e), 1e12)
        factor = high / np.sqrt(1 + (high * s) ** 2)
        todo, k = np.arange(len(factor)), factor.copy()
        for _ in range(60):  # from near the pole 1/RE each step only doubles the way back
            left = np.where(b > 0, np.maximum(1 - k * e, 1e-12), 1.0)
            bent, shear = b / left, k * s**2
            n = c + bent
            rise = 2 * (k * n * (c + bent / left) + shear)
            better = np.where(rise > 0, np.minimum(k - (k * (k * n**2 + shear) - 1) / rise, high), k)
            factor[todo] = better
            going = np.abs(better - k) > 1e-15 * np.abs(better)
            if not going.any():
                break
            todo, k = todo[going], better[going]
            c, b, e, s, high = c[going], b[going], e[going], s[going], high[going]
        return np.asarray(np.where(unloaded, np.inf, factor))


def second_order_bending(Rb2: Num, RE: Num) -> Num:
    return np.multiply(Rb2, np.subtract(1, RE))


def tension_bending(Rt: Num, Rb: Num) -> Num:
    with np.errstate(divide="ignore"):
        return np.divide(1, np.add(Rt, Rb))


def bending_shear(Rb: Num, Rs: Num) -> Num:
    with np.errstate(divide="ignore"):
        return np.divide(1, np.hypot(Rb, Rs))


def equivalent_stress(sigma: Num, tau: Num) -> Num:
    return np.sqrt(np.square(sigma) + 3 * np.square(tau))


def shear_tension(Rs: Num, Rt: Num) -> Num:
    # with x = 1/factor: x³ - Rt² x - Rs³ = 0, convex above its one positive root, which √(Rs² + Rt²) is not below;
    # Newton falls onto it from there
    square, cube = np.square(Rt), np.square(Rs) * Rs
    x = np.sqrt(np.square(Rs) + square)
    with np.errstate(divide="ignore", invalid="ignore"):
        for _ in range(12):
            over, before = x * x, x
            slope = 3 * over - square
            x = np.where(slope > 0, x - ((over - square) * x - cube) / slope, x)
            if np.all(np.abs(x - before) <= 1e-15 * x):
                break
        return np.divide(1, x)[()]


def lug_oblique(Ra: Num, Rtr: Num) -> Num:
    with np.errstate(divide="ignore"):
        return np.divide(1, np.power(np.power(Ra, 1.6) + np.power(Rtr, 1.6), 0.625))


def powers(Rs: Num, Rt: Num, a: Num, b: Num) -> Num:
    # exponents of one and more: the root lies between 1/(Rs + Rt) and 1/max(Rs, Rt)
    with np.errstate(divide="ignore", invalid="ignore"):
        low, high = np.divide(1, np.add(Rs, Rt)), np.divide(1, np.maximum(Rs, Rt))
        for _ in range(60):
            k = (low + high) / 2
            under = np.power(np.multiply(k, Rs), a) + np.power(np.multiply(k, Rt), b) < 1
            low, high = np.where(under, k, low), np.where(under, high, k)
        return np.where(
            np.maximum(Rs, Rt) > 0, (low + high) / 2, np.where(np.isnan(np.add(Rs, Rt)), np.nan, np.inf)
        )[()]


def shear_ratio(P: Num, F: Num, k: Num) -> Num:
    return np.divide(np.multiply(k, P), F)


def tension_ratio(P: Num, F: Num, k: Num) -> Num:
    return np.divide(np.multiply(k, P), F)


def margin_from_factor(k: Num) -> Num:
    return k - 1


Rc = Symbol("Rc", "1", "", "compression over column allowable, fa/Fc")
Rb = Symbol("Rb", "1", "", "bending over allowable, before amplification")
RE = Symbol("RE", "1", "", "compression over Euler load in the plane of bending, fa A/PE")
Rt = Symbol("Rt", "1", "", "tension over allowable")
Rs = Symbol("Rs", "1", "", "shear over allowable")
Ra = Symbol("Ra", "1", "", "axial lug load over axial allowable")
Rtr = Symbol("Rtr", "1", "", "transverse lug load over transverse allowable")
k = Symbol("k", "1", "", "factor on all loads that brings failure")

special = Symbol("k", "1", "", "special factor")

CARDS = (
    Card(
        "shear_ratio", "shear over allowable, the special factor in it",
        (Symbol("P", "force", "lbf", "shear of the bolt"), Symbol("F", "force", "lbf", "its shear strength"), special),
        Rs, "k*P/F", "definition", "derived", shear_ratio,
    ),
    Card(
        "tension_ratio", "tension over allowable, the special factor in it",
        (Symbol("P", "force", "lbf", "tension of the bolt, prying in it"),
         Symbol("F", "force", "lbf", "its tensile strength"), special),
        Rt, "k*P/F", "definition", "derived", tension_ratio,
    ),
    Card(
        "bending_compression", "compression and bending that it amplifies", (Rc, Rb, RE), k,
        "k*Rc + k*Rb/(1 - k*RE) == 1", "amplified interaction of beam-columns", "derived", bending_compression,
        limits=(Limit("Rc", low=0), Limit("Rb", low=0), Limit("RE", low=0)),
        note="the smaller root; the load amplifies the moment, so k is not one over the sum",
    ),
    Card(
        "beam_column_shear", "compression, bending that it amplifies, and shear or torsion", (Rc, Rb, RE, Rs), k,
        "(k*Rc + k*Rb/(1 - k*RE))**2 + (k*Rs)**2 == 1", "amplified interaction of beam-columns, and Rb² + Rs² = 1",
        "derived", beam_column_shear,
        limits=(Limit("Rc", low=0), Limit("Rb", low=1e-6), Limit("RE", low=0), Limit("Rs", low=0)),
        note="the smaller root",
    ),
    Card(
        "second_order_bending", "bending of a second-order answer, before amplification",
        (
            Symbol("Rb2", "1", "", "bending over allowable, with the moments of the deformed frame"),
            Symbol("RE", "1", "", "load over the load that buckles the whole frame: one over its factor"),
        ),
        Rb, "Rb2*(1 - RE)", "amplified interaction of beam-columns", "derived", second_order_bending,
        limits=(Limit("Rb2", low=0), Limit("RE", low=0, high=1, why="below the buckling load")),
        note="so that Rb/(1 - k*RE) is the second-order answer at k = 1 and without bound where the frame buckles",
    ),
    Card(
        "tension_bending", "tension and bending", (Rt, Rb), k, "1/(Rt + Rb)", "stresses add", "derived",
        tension_bending, limits=(Limit("Rt", low=0), Limit("Rb", low=0)),
        note="the relief of bending by tension is left out",
    ),
    Card(
        "bending_shear", "bending and shear or torsion", (Rb, Rs), k, "1/sqrt(Rb**2 + Rs**2)",
        "Rb² + Rs² = 1; Bruhn C3", "memory", bending_shear, limits=(Limit("Rb", low=0), Limit("Rs", low=0)),
    ),
    Card(
        "equivalent_stress", "equivalent stress at yield",
        (Symbol("sigma", "stress", "ksi", "normal stress"), Symbol("tau", "stress", "ksi", "shear stress")),
        Symbol("fe", "stress", "ksi", "equivalent stress"), "sqrt(sigma**2 + 3*tau**2)", "von Mises", "derived",
        equivalent_stress,
    ),
    Card(
        "shear_tension", "shear and tension in a bolt", (Rs, Rt), k, "(k*Rs)**3 + (k*Rt)**2 == 1",
        "MIL-HDBK-5 chapter 8; Bruhn D1", "memory", shear_tension,
        limits=(Limit("Rs", low=0), Limit("Rt", low=0)), note="steel bolts",
    ),
    Card(
        "lug_oblique", "lug loaded obliquely", (Ra, Rtr), k, "(k*Ra)**1.6 + (k*Rtr)**1.6 == 1",
        "Melcon & Hoblit; AFFDL-TR-69-42 chapter 9; NASA TM X-73305", "memory", lug_oblique,
        limits=(Limit("Ra", low=0), Limit("Rtr", low=0)),
        note="exponent of ultimate tests; at yield it is used alike, without a source",
    ),
    Card(
        "powers", "shear and tension with the exponents that a document states",
        (
            Rs, Rt, Symbol("a", "1", "", "exponent of shear"), Symbol("b", "1", "", "exponent of tension"),
        ),
        k, "(k*Rs)**a + (k*Rt)**b == 1", "interaction as the attachment's document states it", "derived", powers,
        limits=(Limit("Rs", low=0), Limit("Rt", low=0), Limit("a", low=1), Limit("b", low=1)),
    ),
    Card(
        "margin_from_factor", "margin of safety from a factor on all loads", (k,),
        Symbol("MS", "1", "", "margin of safety"), "k - 1", "definition", "derived", margin_from_factor,
    ),
)  # fmt: skip

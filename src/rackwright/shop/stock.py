"""A bar or item of stock, its mill certificate, and what the certificate must show.

A printed value passes when it is not below the least value of the specification: compared as printed, unrounded.
A certificate counts only for the heat and the stock specification that it names: the commonest mistake at
receiving is the certificate of another heat with the same size. A missing value is a value that fails.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from rackwright.metal_forms import of_form
from rackwright.shop.model import Minimum, Shop
from rackwright.units import unit_factor

__all__ = [
    "Certificate",
    "Check",
    "Kind",
    "StockBar",
    "StockItem",
    "certificate_checks",
    "checks_of",
    "form_fits",
    "write_value",
]

Kind = Literal["bar", "remnant"]


@dataclass(frozen=True)
class Certificate:
    """A mill certificate as printed: strengths in Pa, elongation as a share; None where it prints no value."""

    number: str
    mill: str
    heat: str
    stock: str
    form: str
    temper: str
    Ftu: float | None = None
    Fty: float | None = None
    elongation: float | None = None
    file: str | None = None


@dataclass(frozen=True)
class StockBar:
    """A bar as it lies in the rack. `length_nm` is its measured length; `heat` is empty when unknown.

    `mill_end` says that its first end was never sawn and must be squared.
    """

    id: str
    section: str
    stock: str
    kind: Kind
    length_nm: int
    heat: str
    certificate: Certificate | None
    location: str = ""

    @property
    def mill_end(self) -> bool:
        return self.kind == "bar"


@dataclass(frozen=True)
class StockItem:
    """Stock that is counted, not measured by length: blanks, plate, sheet; and lots of hardware, powder, sealant.

    `section` as pieces name it, or the part number of hardware. A lot has no heat; its certificate names the lot.
    """

    id: str
    form: str
    section: str
    stock: str
    heat: str
    count: int
    certificate: Certificate | None
    location: str = ""
    lot: str = ""
    expiry: str = ""  # YYYY-MM-DD, the last day of use; "" for what does not age
    length_nm: int | None = None  # of each one, along the grain; with the width, what can be nested on it
    width_nm: int | None = None
    outline: tuple[tuple[int, int], ...] | None = None  # corners of a plate remnant, nm; None: a rectangle
    by_shape: bool = (
        False  # one plate or sheet with a label of its own: what is cut off it is accounted for by area
    )
    remnant: bool = False  # of a plate; booked below new material

    @property
    def corners(self) -> tuple[tuple[int, int], ...]:
        """Of one plate, anticlockwise from its low corner, nm, the rolling direction along x."""
        long, wide = self.length_nm or 0, self.width_nm or 0
        return self.outline or ((0, 0), (long, 0), (long, wide), (0, wide))

    def expired(self, today: str) -> bool:
        return bool(self.expiry) and self.expiry < today


@dataclass(frozen=True)
class Check:
    """One thing asked of a certificate: what is required, what was found, and whether that will do."""

    name: str
    required: str
    found: str
    ok: bool

    def __str__(self) -> str:
        return f"{self.name}: {self.found}, required {self.required}"


def certificate_checks(
    certificate: Certificate | None,
    heat: str,
    stock: str,
    minima: Sequence[Minimum],
    conformance: bool = False,
    form: str | None = None,
) -> tuple[Check, ...]:
    """Everything that a certificate is asked for a bar of this heat and stock specification.

    `heat` is the heat of metal or the lot of hardware. `minima` are the least values of the specification
    (`Shop.minima`); none known means that it cannot be judged, which fails, unless a certificate of `conformance`
    does for this specification. `form` is that of its row of allowables (`Shop.form`), where it has one.
    """
    if certificate is None:
        return (Check("certificate", "a mill certificate", "none", False),)
    checks = [
        Check(
            "heat",
            heat or "the heat or lot marked on it",
            certificate.heat,
            bool(heat) and certificate.heat == heat,
        ),
        Check("stock", stock, certificate.stock, certificate.stock == stock),
    ]
    if form is not None:
        checks.append(form_fits(certificate.form, form))
    if not minima and not conformance:
        checks.append(Check("minima", f"least values of {stock}", "no row of this specification", False))
    for minimum in minima:
        value = getattr(certificate, minimum.name)
        passed = value is not None and value >= minimum.value
        required = f"at least {write_value(minimum.name, minimum.value)}"
        found = "no value printed" if value is None else _found(minimum, value)
        checks.append(Check(minimum.name, required, found, passed))
    return tuple(checks)


def checks_of(shop: Shop, certificate: Certificate | None, marked: str, stock: str) -> tuple[Check, ...]:
    """What a shop asks of the certificate of stock marked with this heat or lot."""
    return certificate_checks(
        certificate, marked, stock, shop.minima(stock), shop.conformance(stock), shop.form(stock)
    )


def form_fits(printed: str, form: str) -> Check:
    """The form that a certificate prints against that of the row of allowables (`metal_forms`)."""
    return Check("form", form, printed or "none printed", of_form(printed, form))


def _found(minimum: Minimum, value: float) -> str:
    text = write_value(minimum.name, value)
    short = minimum.value - value
    return f"{text}, short by {write_value(minimum.name, short)}" if short > 0 else text


def write_value(name: str, value: float) -> str:
    """A strength in ksi or an elongation in percent, as people of the trade write them."""
    if name == "elongation":
        return f"{_plain(value * 100)} %"
    return f"{_plain(value / float(unit_factor('ksi')))} ksi"


def _plain(number: float) -> str:
    return f"{number:.6f}".rstrip("0").rstrip(".")

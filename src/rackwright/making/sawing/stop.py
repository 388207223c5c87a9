"""What the length stop of the saw is set to when metal and scale are not at 20 °C, where drawings hold (ISO 1:2022).

A part at dT above 20 °C is longer by alpha dT; a scale that does not compensate itself grows by its own. The stop is
corrected only where that is more than a tenth of what the cut may be off: below, a changed setting is a chance of error
and no gain. Without a measured temperature the stop is set to the length at 20 °C, and why is said.
A bar grows with its pieces, so that how many fit does not depend on the temperature.
"""

from __future__ import annotations

from dataclasses import dataclass

from rackwright.formulas.thermal import length_when_warm
from rackwright.making.sawing.cutting import stop_setting
from rackwright.shop import Shop

__all__ = ["AT_20_C", "AtSaw", "Stops"]

AT_20_C = 293.15  # K, the reference temperature
PART_OF_TOLERANCE = 10


@dataclass(frozen=True)
class AtSaw:
    """Temperatures as measured at the saw, K: of the metal, and of the scale where it does not compensate itself."""

    metal: float
    scale: float | None = None


@dataclass(frozen=True)
class Stops:
    """The settings of one shop's stop at the temperatures measured; without any, those at 20 °C."""

    shop: Shop
    at: AtSaw | None = None

    def setting(self, length: int, stock: str) -> int:
        """What the stop is set to for a piece of this length (nm) of this stock specification."""
        if self.lacking(stock) or self.at is None:
            return stop_setting(length, self.shop)
        scale = self.shop.saw.scale_expansion
        grown = length_when_warm(1.0, self._alpha(self._row(stock)), self.at.metal - AT_20_C)
        if scale is not None and self.at.scale is not None:
            grown /= length_when_warm(1.0, self._alpha(scale), self.at.scale - AT_20_C)
        change = round(length * (float(grown) - 1.0))
        corrected = PART_OF_TOLERANCE * abs(change) > self.shop.saw.cut_tolerance
        return stop_setting(length + change if corrected else length, self.shop)

    def lacking(self, stock: str) -> str:
        """Why stops are those at 20 °C; "" where they are corrected."""
        saw = self.shop.saw
        if self.at is None:
            return "no temperature of the metal is given"
        if saw.scale is None:
            return "whether the stop's scale compensates itself is not known (shop.toml, saw.scale)"
        if saw.scale != "compensated" and self.at.scale is None:
            return "no temperature of the scale is given, which does not compensate itself"
        if not self._row(stock):
            return f"no expansion of {stock} is given (shop.toml, saw.expansion)"
        return ""

    def _row(self, stock: str) -> str:
        return next((one.row for one in self.shop.saw.expansion if one.stock == stock), "")

    def _alpha(self, row: str) -> float:
        return self.shop.rows.expansions[row].alpha_per_K

    def words(self, stock: str) -> str:
        """How the stops of this stock specification are meant, for the sheet."""
        why = self.lacking(stock)
        if why or self.at is None:
            return f"{stock}: lengths at 20 °C, as {why}"
        saw, row = self.shop.saw, self.shop.rows.expansions[self._row(stock)]
        scale = f"scale {saw.scale}, {saw.scale_document}"
        if saw.scale_expansion is not None and self.at.scale is not None:
            scale += f", at {_degrees(self.at.scale)}, {_per_kelvin(self._alpha(saw.scale_expansion))}"
        metal = f"{_per_kelvin(row.alpha_per_K)} ({row.id}: {row.known})"
        return (
            f"{stock}: metal at {_degrees(self.at.metal)}, {metal}; {scale}; "
            "corrected where that is more than a tenth of what the cut may be off"
        )


def _degrees(kelvin: float) -> str:
    celsius = kelvin - 273.15
    return f"{celsius:.1f} °C ({celsius * 1.8 + 32:.1f} °F)"


def _per_kelvin(alpha: float) -> str:
    return f"{alpha * 1e6:.2f} µm/(m K)"

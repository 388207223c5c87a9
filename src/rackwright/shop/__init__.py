"""What the shop has: saw, house style, prices, specification minima, and stock as plain rows.

May import: formulas, reference, fields, located, units, trouble.
`model.py` is the shop's own file as frozen data, `stock.py` a bar, an item and their certificate with the
check against the specification, `read.py` and `read_stock.py` the ways in. A new machine setting starts in
`model.py`; what a certificate is asked starts in `stock.py`.
"""

from rackwright.shop.model import Minimum, Price, Saw, Shop, ShopTube, Specification, Style
from rackwright.shop.read import read_bend_test, read_shop
from rackwright.shop.read_stock import read_stock
from rackwright.shop.stock import (
    Certificate,
    Check,
    StockBar,
    StockItem,
    certificate_checks,
    checks_of,
    form_fits,
)

__all__ = [
    "Certificate",
    "Check",
    "Minimum",
    "Price",
    "Saw",
    "Shop",
    "ShopTube",
    "Specification",
    "StockBar",
    "StockItem",
    "Style",
    "certificate_checks",
    "checks_of",
    "form_fits",
    "read_bend_test",
    "read_shop",
    "read_stock",
]

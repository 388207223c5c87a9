"""rackwright: from a customer's rack variation to substantiated, cut, traceable pieces and their dossier."""

from importlib.metadata import version as _version

__all__ = ["__version__"]

__version__ = _version("rackwright")

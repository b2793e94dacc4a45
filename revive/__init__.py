"""Advice on bringing a motorcycle back to service after long storage."""

__version__ = "0.1.0"

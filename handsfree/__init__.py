"""Handsfree: a bench assistant that listens, walks a procedure aloud and keeps the log."""

__version__ = "0.1.0"

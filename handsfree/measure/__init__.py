"""Quantities, units, limits and verdicts."""

"""Sums done at the bench: converting, blades and shims, travel of a thread, sums, percentages."""

"""Sums done at the bench: converting, blades and shims, travel of a thread, sums, percentages.

- ``answer``: the answers to bench sums, exact, with what had to be rounded called "about".
- ``asked``: the sums that can be asked for.
- ``pieces``: which pieces of a set (feeler blades, shims) make up a thickness, with as few as can be.
"""

__all__ = ["answer", "asked", "pieces"]

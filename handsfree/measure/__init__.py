"""Quantities, units, limits and verdicts.

- ``figure``: a figure as it was stated: exact value, stated decimals, unit.
- ``formatting``: the one formatter: how a figure is spoken and how it is written, the same for voice, screen, log and
  report.
- ``limits``: limits and the decision at a limit.
- ``rounding``: how computed figures are rounded: once, out of exact arithmetic, by the resolution of what was read.
- ``statistics``: repeated readings: count, mean, range, and the standard deviation of the sample.
- ``sums``: sums done at the bench: converting, blades and shims, travel of a thread, sums, percentages.
- ``threads``: screw threads and fastener sizes: what a written size means, how it is said, and how far a turn goes.
- ``units``: the units a figure may be said in: one table for grammar, conversion and read-back.
"""

__all__ = ["figure", "formatting", "limits", "rounding", "statistics", "sums", "threads", "units"]

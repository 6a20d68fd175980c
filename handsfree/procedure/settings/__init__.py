"""What a workshop has settled once, in its own file, for all its jobs.

- ``report_parts``: which parts the report of a job has: a setting of the workshop, and of each report.
- ``terms``: a workshop's terms: its name, its money, what an hour costs, fixed prices, and for how long work is
  warranted.
"""

__all__ = ["report_parts", "terms"]

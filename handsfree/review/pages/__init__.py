"""The report and the history as pages that need nothing else.

- ``history``: earlier jobs as one page, with a chart of each characteristic over jobs.
- ``report``: the report of a job as one HTML page that needs nothing else: style, charts and sound are inside it.
"""

__all__ = ["history", "report"]

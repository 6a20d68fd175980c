"""The report and the history as pages that need nothing else.

- ``history``: earlier jobs as one page, with a chart of each characteristic over jobs.
- ``job_sheet``: the sheet that goes with an item from the counter on: whose it is, what was arranged, and a label with
  its number.
- ``owner``: the owner's part of the report: one page in the owner's words, whatever the job was.
- ``report``: the report of a job as one HTML page that needs nothing else: style, charts and sound are inside it.
- ``room``: how much has room on one printed page, on A4 and on Letter alike: reckoned in lines, before anything is
  printed.
- ``shared``: what all pages share: the templates, the style, how times are written, and the foot of a printed page.
"""

__all__ = ["history", "job_sheet", "owner", "report", "room", "shared"]

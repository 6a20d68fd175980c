"""The review of a job: findings and their text.

- ``exports``: a job's record as files for other programs: JSON, and CSV of its figures. DATA.md lists the fields.
- ``findings``: what a job's log says that somebody should look at, most important first.
- ``history``: earlier jobs: their figures and notes as far as they stand, and how a characteristic went from job to
  job.
- ``judged_as_found``: what was measured while taking apart, judged by the limits of a procedure of the same job.
- ``pages``: the report and the history as pages that need nothing else.
- ``record``: the record of a job: everything its log holds, put in order once for the page and the exports.
- ``record_lines``: the same as data: a line for each figure, check, note, part and step. DATA.md lists the fields.
- ``source``: the procedure a job was worked by, from the log alone.
- ``text``: the review as text: for the terminal and for the ear.
- ``waiting``: what waits for the check of another person, over all jobs that are open.
"""

__all__ = [
    "exports",
    "findings",
    "history",
    "judged_as_found",
    "pages",
    "record",
    "record_lines",
    "source",
    "text",
    "waiting",
]

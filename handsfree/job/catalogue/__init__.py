"""What lists, looking back and search need of the log, in a file beside it that is never the truth.

- ``earlier``: which jobs of the log are about an item, a serial number, a procedure or a characteristic.
- ``search``: finding words in what was said and typed: notes, reasons, and every other free text of the log.
- ``summaries``: the list of jobs, as the catalogue (``job.catalogue``) keeps it: a row for each job, made of its
  events.
"""

__all__ = ["earlier", "search", "summaries"]

"""What can be seen of a job: one snapshot of everything that may be shown.

- ``result``: what came of a job, in a word or three and in a sentence: the same on the display, the owner's page and
  in print.
- ``shown``: everything that may be shown of a job at one moment, as plain data.
- ``snapshot``: what can be seen of a job: one immutable snapshot of everything that may be shown at this moment.
- ``understood``: what was heard and what was made of it, in words for the eye.
"""

__all__ = ["result", "shown", "snapshot", "understood"]

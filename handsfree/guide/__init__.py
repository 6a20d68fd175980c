"""The guide: what follows from what was said, and how it is put into words.

- ``desk``: a job at the desk, before and after the bench: what is told of it, typed, corrected, taken back, signed,
  reopened.
- ``effects``: what the guide wants done; the bench carries it out, in order.
- ``errors``: what can go wrong with a job at the desk.
- ``figures``: a figure on its way into the log, and figures of earlier jobs.
- ``guide``: the guide: takes what was said and the time, and answers with effects. It knows no sound, clock or disk.
- ``session``: the conversation at the bench: what lasts from turn to turn, one turn, and the question that waits for
  its answer.
- ``view``: what can be seen of a job: one snapshot of everything that may be shown.
"""

__all__ = ["desk", "effects", "errors", "figures", "guide", "session", "view"]

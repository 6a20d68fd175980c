"""What is kept beside the database of the log, and what is left there by a program that was ended in the middle.

- ``attached``: files that others made (a photo, a drawing, a PDF), copied beside the log under the hash of their
  content.
- ``last_seen``: what time it last was at the bench with a job.
- ``ledger``: how many events each job has and the hash of its last one, a second time, in a file of its own.
- ``personal``: what is personal of the events (whose the item is, how to reach them), kept beside the chain so that it
  can go.
- ``pending``: a sound that is on disk while the event that names it is not yet.
- ``place``: whether an open log's files are still those that are written to, and where else a job can be saved.
- ``scratch``: folders for work that is under way, which a program that was ended in the middle leaves behind.
"""

__all__ = ["attached", "last_seen", "ledger", "pending", "personal", "place", "scratch"]

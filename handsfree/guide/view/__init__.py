"""What can be seen of a job: one snapshot of everything that may be shown.

- ``snapshot``: what can be seen of a job: one immutable snapshot of everything that may be shown at this moment.
- ``understood``: what was heard and what was made of it, in words for the eye.
"""

__all__ = ["snapshot", "understood"]

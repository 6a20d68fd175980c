"""A figure on its way into the log: as it was said, whether it can be meant, what else it may be; and earlier ones.

- ``earlier``: figures of earlier jobs, and which of them is that of last time.
- ``proposed``: a reading on its way into the log, how it is decided, and how it is said.
"""

__all__ = ["earlier", "proposed"]

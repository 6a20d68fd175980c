"""At the bench, and getting it ready: a job by voice, rehearsals, the demo, recordings, devices, models.

- ``arguments``: the arguments of the commands at the bench, and of those that get it ready.
"""

__all__ = ["arguments"]

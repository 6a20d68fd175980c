"""At the bench: a job by voice, rehearsals, taking apart, the demo.

- ``arguments``: the arguments of the commands at the bench.
"""

__all__ = ["arguments"]

"""Procedure files checked and made, what can be said with them, and bench sums.

- ``arguments``: the arguments of the commands about procedure files, what can be said with them, and bench sums.
"""

__all__ = ["arguments"]

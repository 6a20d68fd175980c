"""Between the counter in and the counter out: parts to order, the sheet of an item, charges, files that others made.

- ``arguments``: the arguments of the commands of the counter.
"""

__all__ = ["arguments"]

"""Between the counter in and the counter out: parts to order, the sheet that goes with an item, what is charged.

- ``arguments``: the arguments of the commands of the counter.
"""

__all__ = ["arguments"]

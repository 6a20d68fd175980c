"""Between the counter in and the counter out: parts to order, the sheet that goes with an item.

- ``arguments``: the arguments of the commands of the counter.
"""

__all__ = ["arguments"]

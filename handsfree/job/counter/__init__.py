"""A job between the counter in and the counter out, from its state.

- ``before``: an item that was here before: when, what was done, what was accepted out of limits, what was to be
  watched.
- ``orders``: parts that are to be ordered, are ordered, or have arrived.
- ``stage``: where a job stands for the workshop: promised, waiting, done and not fetched, handed over.
"""

__all__ = ["before", "orders", "stage"]

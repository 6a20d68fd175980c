"""A job between the counter in and the counter out, from its state.

- ``before``: an item that was here before: when, what was done, what was accepted out of limits, what was to be
  watched.
- ``bench_time``: the time that a job was at the bench: by whom, by which procedure, without pauses and all else that
  lies between.
- ``charges``: what is charged for a job: time at a rate, parts and work at fixed prices. Exact, and rounded once, to
  hundredths.
- ``orders``: parts that are to be ordered, are ordered, or have arrived.
- ``stage``: where a job stands for the workshop: promised, waiting, done and not fetched, handed over.
"""

__all__ = ["before", "bench_time", "charges", "orders", "stage"]

"""A job: its events, their state, and the log on disk.

- ``attendance``: who is at the bench, who did what, and which state of the job was signed.
- ``catalogue``: what lists, looking back and search need of the log, in a file beside it that is never the truth.
- ``counter``: a job between the counter in and the counter out, from its state.
- ``counted_parts``: parts that are counted: which kinds there are, and what can become of them.
- ``disassembly``: what a job took apart, from its state.
- ``errors``: what can go wrong with the log on disk; every message is one sentence that says what to do.
- ``events``: what can happen in a job: small immutable records, written once and never changed.
- ``facts``: what can be noted about a job as a whole: one table, which the log, the language, the wording, the
  reviews, the page and the options of ``handsfree job`` read. A further fact is a further row.
- ``log``: the log on disk: written once, proved, kept safe, and saved when it is damaged.
- ``opening``: the event with which a job begins.
- ``progress``: how far a job is with one of its procedures, and the timers that run meanwhile.
- ``readings``: the readings of a job, from its state: all that were ever logged, and those that stand.
- ``state``: the state of a job: a fold over its events, so that resuming is replaying.
- ``stated``: a logged reading as it was stated, and its exact value.
- ``tally``: the parts tally: what came out must go back or be replaced.
"""

__all__ = [
    "attendance",
    "catalogue",
    "counted_parts",
    "counter",
    "disassembly",
    "errors",
    "events",
    "facts",
    "log",
    "opening",
    "progress",
    "readings",
    "state",
    "stated",
    "tally",
]

"""A job of another trade, whole: two balances of two owners, worked by the procedure in ``tests/data``.

An apprentice, Jo, does the work; the master checks it at the end and signs. Both work as is good practice: waits are
waited for, what is out of limits is decided, the job is signed.
"(600 seconds)" is a time in which nothing is said.
"""

from __future__ import annotations

FIRST = (
    "late", "condition as found", "pointer bent a little", "end of note",
    "yes", "next",
    "log swing seven point four", "next",
    "next",
    "log wear nought point one four", "next",
    "log play eleven", "next",
    "log wear nought point nought eight", "next",
    "log play six", "next",
    "four screws out", "next",
    "start the timer", "how long is left", "(600 seconds)", "got it", "next",
    "yes", "next",
    "log depth fifteen point two", "next",
    "two screws back", "next",
    "log play ten", "set again", "log play seven", "next",
    "log pull four hundred and twenty", "next",
    "log play seven", "next",
    "two screws back", "next",
    "log play five and a half", "next",
    "log pull three hundred and eighty", "next",
    "log play five and a half", "next",
    "next",
    "log turns two and a quarter", "next",
    "log swing six point one", "next",
    "log rest mark nine point five", "next",
    "log tilt two point one", "next",
    "log rest mark ten", "next",
    "log tilt one point nine eight", "next",
    "what is still out", "next",
    "this is tango golf", "yes", "step done",
    "what was left out", "review the job", "end of review",
    "sign off", "finish the job",
)  # fmt: skip

SECOND = (
    "early",
    "yes", "next",
    "log swing six point eight", "next",
    "next",
    "log wear nought point nought nine", "next",
    "log play eight", "next",
    "log wear nought point one one five", "next",
    "log play four", "next",
    "four screws out", "next",
    "pause the job",
)  # fmt: skip
"""The second one is left for the day after."""

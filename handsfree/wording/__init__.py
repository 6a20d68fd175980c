"""A job put into words: entries, gaps, dangers, tallies and figures, the same for voice, page and print.

- ``attendance``: who is at the bench in words, and why somebody may not check or sign.
- ``counter``: what is told at the counter, in words.
- ``corrections``: what became of a figure: each value it replaced, and after how long.
- ``dangers``: dangers that last, in words: those of the procedure being worked, and those that another of the job
  began.
- ``disassembly``: what came off and which marks were made, in words.
- ``entries``: entries of the log in one sentence each: figures, checks, notes, facts, counts of parts, what came off.
- ``facts``: facts about a job in words: what each is called, and each in a sentence.
- ``gaps``: what a step, or a whole job, still lacks.
- ``instructions``: a step in words: danger first, then the act, then what is asked for; the rest on request.
- ``points``: the review as plain data: the sentences that sum a job up, and its points.
- ``readings``: a reading in words, for the ear and for the eye: read back, spelled out, judged, and what became of
  it.
- ``repeated``: repeated readings of a characteristic, as found, as set and as left kept apart, and what they sum up
  to.
- ``tally``: parts in words: the tally of what came out, what is back and what is still out; and what is to be
  ordered.
"""

__all__ = [
    "attendance",
    "corrections",
    "counter",
    "dangers",
    "disassembly",
    "entries",
    "facts",
    "gaps",
    "instructions",
    "points",
    "readings",
    "repeated",
    "tally",
]

"""The wiring: utterances, time and the end of speech into the guide, and its effects out to log, voice and screen.

- ``answers``: answers to a procedure's questions about the item that can't be told from commands.
- ``bench``: one job at the bench: carries out the guide's effects, in order. Everything happens on the caller's
  thread.
- ``changing``: the procedures that a job may change to by voice, and their guides.
- ``choosing``: which of several unfinished jobs is meant, asked and answered by voice.
- ``ears``: the ear that hears for a job, or the two of them.
- ``looking_back``: the figures of earlier jobs that may be asked for at the bench, and the jobs on this very item.
- ``loops``: how time passes at the bench: live, on a recording, typed, rehearsed; and what utterances come from.
- ``people``: who may be at the bench, and how each is named there.
- ``printing``: what happens at the bench, as lines on a terminal.
- ``setting_up``: getting a job ready: its procedure, its place in the log, the ear that hears for it.
- ``voices``: one person's voice: read aloud from a card, learned, and kept where it helps.
- ``watching``: what can be seen of a bench: snapshots for whoever watches, and the review of the job.
- ``side_by_side``: jobs that stand open side by side: which there are, and how each can be called at the bench.
- ``workshop``: where the workshop's own file is, and what it sets.
"""

__all__ = [
    "answers",
    "bench",
    "changing",
    "choosing",
    "ears",
    "looking_back",
    "loops",
    "people",
    "printing",
    "setting_up",
    "side_by_side",
    "voices",
    "watching",
    "workshop",
]

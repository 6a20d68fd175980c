"""How time passes at the bench: live, on a recording, typed, rehearsed; and what utterances come from.

- ``clock``: the time of day for one session at the bench: it goes on evenly whatever is done to the machine's clock
  meanwhile.
- ``keys``: a foot pedal or a key in place of the voice's own beginning and end.
- ``last_minute``: what is kept of the sound beyond the log: a rolling minute in memory, and more only where the user
  has chosen so.
- ``live``: a job at the bench in real time: a microphone or a keyboard, and whatever speaks, on one queue.
- ``rehearsal``: a clock for rehearsals: while a timer runs and nothing else waits for an answer, time runs fast.
- ``replay``: a job played from a recording or from typed lines, on a clock of its own.
- ``sources``: utterances from recordings and from typed lines.
"""

__all__ = ["clock", "keys", "last_minute", "live", "rehearsal", "replay", "sources"]

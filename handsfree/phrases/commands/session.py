"""The session at the bench: standing by, pausing, finishing, and the voice."""

from __future__ import annotations

from handsfree.phrases.commands.command import Command, fixed
from handsfree.phrases.intents import Kind

_GROUP = "The bench"


def session() -> tuple[Command, ...]:
    """The commands of this subject, in the order of the cheat sheet."""
    return (
        fixed(Kind.STAND_BY, _GROUP, "stop listening until called back",
              "stand by"),
        fixed(Kind.COME_BACK, _GROUP, "listen again",
              "back at the bench"),
        fixed(Kind.PAUSE, _GROUP, "stop here for today; the job can be taken up again",
              "pause the job", "pause job"),
        fixed(Kind.FINISH, _GROUP, "the job is finished",
              "finish the job", "finish job", "job finished"),
        fixed(Kind.SLOWER, _GROUP, "speak slower",
              "slower", "speak slower"),
        fixed(Kind.FASTER, _GROUP, "speak faster",
              "faster", "speak faster"),
        fixed(Kind.LOUDER, _GROUP, "speak louder",
              "louder", "speak louder"),
        fixed(Kind.QUIETER, _GROUP, "speak more quietly",
              "quieter", "softer"),
        fixed(Kind.SHORT, _GROUP, "only the act of a step, and a verdict in a word; dangers and figures stay whole",
              "short answers"),
        fixed(Kind.WHOLE, _GROUP, "everything again",
              "full answers"),
    )  # fmt: skip

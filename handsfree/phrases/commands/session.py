"""The session at the bench: standing by, pausing, finishing, and the voice."""

from __future__ import annotations

from handsfree.phrases.commands.command import Command, plain
from handsfree.phrases.intents import Kind

GROUP = "The bench"


def session() -> tuple[Command, ...]:
    """The commands of this subject, in the order of the cheat sheet."""
    return (
        plain(Kind.STAND_BY, GROUP, "stop listening until called back",
              "stand by"),
        plain(Kind.COME_BACK, GROUP, "listen again",
              "back at the bench"),
        plain(Kind.PAUSE, GROUP, "stop here for today; the job can be taken up again",
              "pause the job", "pause job"),
        plain(Kind.FINISH, GROUP, "the job is finished",
              "finish the job", "finish job", "job finished"),
        plain(Kind.SLOWER, GROUP, "speak slower",
              "slower", "speak slower"),
        plain(Kind.FASTER, GROUP, "speak faster",
              "faster", "speak faster"),
        plain(Kind.LOUDER, GROUP, "speak louder",
              "louder", "speak louder"),
        plain(Kind.QUIETER, GROUP, "speak more quietly",
              "quieter", "softer"),
    )  # fmt: skip

"""The states a job at the bench can be in, and the moves between them."""

from __future__ import annotations

from transitions import Machine

STATES = ("resuming", "at step", "asking", "noting", "standing by", "paused", "finished", "aside")

# trigger, from, to
TRANSITIONS = (
    ("agree", "resuming", "at step"),
    ("ask", ["at step", "asking"], "asking"),
    ("settle", "asking", "at step"),
    ("take_note", "at step", "noting"),
    ("end_note", "noting", "at step"),
    ("stand_by", ["at step", "asking", "resuming"], "standing by"),
    ("come_back", "standing by", "at step"),
    ("pause", ["resuming", "at step", "asking", "standing by"], "paused"),
    ("leave", ["resuming", "at step", "asking"], "aside"),
    ("return", "aside", "at step"),
    ("finish", ["at step", "asking"], "finished"),
)


class BenchState:
    """The state machine alone: moves that are not in the table raise ``transitions.MachineError``."""

    state: str

    def __init__(self, initial: str) -> None:
        self._machine = Machine(
            model=self,
            states=list(STATES),
            transitions=[list(row) for row in TRANSITIONS],
            initial=initial,
            auto_transitions=False,
        )

    def move(self, trigger: str) -> None:
        """Make a move by its name in the table."""
        self.trigger(trigger)  # type: ignore[attr-defined]

    def may(self, trigger: str) -> bool:
        """Whether the table has this move from here."""
        return trigger in self._machine.get_triggers(self.state)

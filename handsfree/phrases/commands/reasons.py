"""Reasons for leaving a step out, or for accepting a figure that is out of limits."""

from __future__ import annotations

from handsfree.phrases.commands.command import named

REASONS = (
    "not fitted", "not needed", "already done", "part missing", "part on order", "part worn out", "thread stripped",
    "as the customer wishes", "within wear", "no better to be had", "to be watched",
)  # fmt: skip
"""Reasons that can be given in one breath; any other is spoken freely when asked for."""

REASON = named("reason", ((each, each) for each in REASONS), "REASON")

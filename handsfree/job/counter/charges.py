"""What is charged for a job: time at a rate, parts and work at fixed prices. Exact, and rounded once, to hundredths."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from decimal import ROUND_HALF_UP, Decimal

from handsfree.job.counter.bench_time import by_person_and_procedure
from handsfree.job.events import Event, FactNoted
from handsfree.job.state import JobState

_CENT = Decimal("0.01")


@dataclass(frozen=True, kw_only=True)
class Charge:
    """A line of an invoice."""

    what: str
    by: str | None = None
    procedure: str | None = None
    count: Decimal = Decimal(1)
    unit: str = ""
    """ "h" of time."""
    each: Decimal | None = None
    """The price of one; None: none was stated."""

    @property
    def total(self) -> Decimal | None:
        return None if self.each is None else (self.count * self.each).quantize(_CENT, ROUND_HALF_UP)


def charges_of(
    state: JobState,
    events: Sequence[Event],
    hour: Decimal | None,
    *,
    titles: Mapping[str, str] | None = None,
    hours: Decimal | None = None,
) -> list[Charge]:
    """The lines: time by person and procedure at the price of an ``hour``, then what was noted as a charge.

    ``hours`` is what is charged in place of the time that was measured; none of it where it is nought.
    """
    lines = []
    if hours is None:
        for (worker, procedure), took in by_person_and_procedure(events).items():
            title = (titles or {}).get(procedure, procedure)
            what = f"time at the bench, {title}" if title else "time at the bench"
            lines.append(
                Charge(what=what, by=worker, procedure=procedure or None, count=in_hours(took), unit="h", each=hour)
            )
        lines = [line for line in lines if line.count]
    elif hours:
        lines.append(Charge(what="time at the bench", count=hours, unit="h", each=hour))
    for entry in state.facts("charge"):
        event = entry.event
        if isinstance(event, FactNoted) and event.amount is not None:
            lines.append(Charge(what=entry.text, each=Decimal(event.amount)))
    return lines


def in_hours(took: timedelta) -> Decimal:
    """Hours to hundredths, rounded half up."""
    return (Decimal(round(took.total_seconds())) / 3600).quantize(_CENT, ROUND_HALF_UP)


def total_of(lines: Sequence[Charge]) -> Decimal:
    """The sum of what has a price."""
    return sum((line.total for line in lines if line.total is not None), Decimal("0.00"))


def agreed_amount(state: JobState) -> Decimal | None:
    """Up to which amount the owner has agreed: what was said last, at the counter or later; None: nothing was."""
    said = [entry for about in ("agreed", "approved") for entry in state.facts(about)]
    amounts = [
        (entry.number, event.amount) for entry in said if isinstance(event := entry.event, FactNoted) and event.amount
    ]
    return Decimal(max(amounts)[1]) if amounts else None

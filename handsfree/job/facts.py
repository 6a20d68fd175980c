"""What can be noted about a job as a whole: one table, which the log, the language, the wording, the reviews, the page
and the options of ``handsfree job`` read. A further fact is a further row.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from handsfree.text.prose import plural

Severity = Literal["cosmetic", "minor", "serious", "unsafe"]
SEVERITIES: tuple[Severity, ...] = get_args(Severity)
"""How severe what was found is, the mildest first."""


@dataclass(frozen=True, kw_only=True)
class Fact:
    """One sort of fact about a job."""

    name: str
    """In the log and the exports."""
    said: str
    """How it is named wherever it is told, and by who says it at the bench."""
    begun: tuple[str, ...] = ()
    """How it is begun at the bench where its name alone is too short to be said for it; empty: by its name."""
    only_one: bool = False
    """Only the newest stands: it replaces the one before."""
    spelled: bool = False
    """It is a code, spelled aloud; anything else is free speech, kept as sound and as text."""
    graded: bool = False
    """How severe it is, is said with it ("serious finding")."""
    identifies: bool = False
    """It tells which item it is: given when the job is opened, and shown at the head of a review."""
    personal: bool = False
    """It tells who the owner is or how to reach them: kept beside the log, so that it can be taken out again."""
    dated: bool = False
    """It is a day, as ISO 8601 has it."""
    priced: bool = False
    """It is an amount of money, in the currency of the workshop."""
    charged: bool = False
    """Its amount of money is a line of the invoice: what for, and then how much."""
    at_the_counter: bool = False
    """It is arranged with the owner, and tells nothing of the work: a signature stands when it changes."""
    said_nowhere: bool = False
    """It is given by command only."""
    taken_in: bool = False
    """It is asked for when an item is taken in, before the bench."""
    help: str = ""
    """Of its option on the command line; empty: it has none."""

    @property
    def many(self) -> str:
        """How several are named: "findings", "parts replaced"."""
        first, *rest = self.said.split(" ")
        return " ".join((plural(first), *rest))

    @property
    def phrases(self) -> tuple[str, ...]:
        """What is said at the bench to note it."""
        return () if self.said_nowhere else self.begun or (self.said,)

    @property
    def free(self) -> bool:
        """Whether it is told in free speech, kept as sound and as text."""
        return not (self.spelled or self.graded or self.dated or self.priced or self.said_nowhere)

    @property
    def option(self) -> str:
        """Its option on the command line, without the dashes: "part-replaced"."""
        return self.name.replace(" ", "-")

    @property
    def attribute(self) -> str:
        """Where the parsed arguments of the command line have it: "part_replaced"."""
        return self.name.replace(" ", "_")


_ROWS = (
    Fact(
        name="item", said="item number", only_one=True, spelled=True, identifies=True, taken_in=True,
        help="which item it is",
    ),
    Fact(
        name="serial", said="serial number", only_one=True, spelled=True, identifies=True, taken_in=True,
        help="its serial number",
    ),
    Fact(
        name="owner", said="owner", only_one=True, spelled=True, identifies=True, personal=True, taken_in=True,
        help="whose it is, or the owner's reference",
    ),
    Fact(
        name="contact", said="contact", begun=("telephone number",), only_one=True, spelled=True, personal=True,
        at_the_counter=True, taken_in=True, help="how to reach the owner: a telephone number, an address",
    ),
    Fact(
        name="complaint", said="complaint", begun=("note the complaint", "the complaint is"), only_one=True,
        taken_in=True, help="what is said to be wrong",
    ),
    Fact(
        name="accessory", said="accessory", begun=("note an accessory",), at_the_counter=True, taken_in=True,
        help="what was left with the item, and is to be given back",
    ),
    Fact(
        name="promised", said="promised day", begun=("promised", "promised for", "promised on"), only_one=True,
        dated=True, at_the_counter=True, taken_in=True, help='the day it is promised for: 2026-12-04, "4 december"',
    ),
    Fact(
        name="agreed", said="price limit", begun=("may cost up to",), only_one=True, priced=True, at_the_counter=True,
        taken_in=True, help="what it may cost",
    ),
    Fact(
        name="approved", said="approval", begun=("approved up to",), priced=True, at_the_counter=True,
        help='what was approved later, and how: "120 by telephone"',
    ),
    Fact(
        name="returns", said="job before", only_one=True, at_the_counter=True, said_nowhere=True, taken_in=True,
        help="the number of the job that it comes back from",
    ),
    Fact(
        name="charge", said="charge", charged=True, at_the_counter=True, said_nowhere=True,
        help='a line of the invoice: "gib screws 9.00", or work at a fixed price of the workshop\'s terms',
    ),
    Fact(name="condition", said="condition as found", taken_in=True, help="its condition as found"),
    Fact(name="finding", said="finding", graded=True, help="what was found"),
    Fact(name="part replaced", said="part replaced", help="a part that was replaced"),
    Fact(name="material", said="material used", help="a lubricant or another material that was used"),
    Fact(name="for the owner", said="note for the owner", help="what the owner is to read on the report's first page"),
    Fact(name="signed off", said="signed off by", only_one=True, spelled=True),
)  # fmt: skip

FACTS = {fact.name: fact for fact in _ROWS}
"""Every sort of fact by its name, in the order in which they are told."""

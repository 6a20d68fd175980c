"""What a job's figures are shown from is what was written, or it is said that it is not."""

from __future__ import annotations

import sys

from handsfree.job.log.store import Store


def told_if_broken(store: Store, job: str) -> bool:
    """Say on standard error where the chain of a job's entries does not hold; whether it does not."""
    broken = store.broken(job)
    if broken is None:
        return False
    print(
        f"The log of job {job} does not hold: {broken.what}. Rely on nothing shown here; restore a copy "
        "(handsfree verify says more).",
        file=sys.stderr,
    )
    return True

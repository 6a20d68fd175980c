"""The job as a whole: facts, parts, notes and timers, taking apart, the review."""

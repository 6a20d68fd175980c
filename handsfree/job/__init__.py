"""A job: its events, their state, and the log on disk."""

"""What can be seen of a job: one snapshot of everything that may be shown."""

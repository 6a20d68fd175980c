"""The report and the history as pages that need nothing else."""

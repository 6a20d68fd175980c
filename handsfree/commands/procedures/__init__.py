"""Procedure files checked and made, what can be said with them, and bench sums."""

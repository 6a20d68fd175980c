"""Whether a procedure can be worked, and what would be better."""

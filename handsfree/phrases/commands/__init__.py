"""Every command that can be said, with its wordings, by subject; ``table`` puts them together."""

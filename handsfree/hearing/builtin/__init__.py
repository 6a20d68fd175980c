"""The recogniser that works straight after installation: the networks, the grammar spelled in tokens, the search."""

"""The recogniser that works straight after installation: the networks, the grammar spelled in tokens, the search.

- ``model_files``: where the built-in recogniser's model is.
- ``recogniser``: the recogniser that works straight after installation: a small neural model held to the grammar.
"""

__all__ = ["model_files", "recogniser"]

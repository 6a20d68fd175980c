"""Synthetic recordings of commands, talk and noise: how they are made, described and scored."""

"""Trains the built-in recogniser's encoder for the bench. See README.md in this folder."""

"""Figures: written down, decided, corrected, asked for, and sums with them."""

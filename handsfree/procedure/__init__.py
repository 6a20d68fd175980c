"""Procedures: their model, loader and checker."""

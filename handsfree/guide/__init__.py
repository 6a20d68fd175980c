"""The guide: what follows from what was said, and how it is put into words."""

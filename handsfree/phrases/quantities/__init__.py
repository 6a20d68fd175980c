"""Numbers, figures, sizes and codes as they are said."""

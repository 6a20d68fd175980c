"""The review as text: for the terminal and for the ear."""

"""From the text of a procedure file to a procedure, or everything that is wrong with it."""

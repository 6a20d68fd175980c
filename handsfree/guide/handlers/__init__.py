"""What follows from each thing that can be meant: a module for each subject, and the table that names them."""

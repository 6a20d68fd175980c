"""What can be looked at: the page for a tablet across the bench, and the view on a terminal."""

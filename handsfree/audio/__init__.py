"""Sound as it is: files, levels, and the devices that take it in and give it out."""

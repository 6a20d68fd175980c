"""Jobs: taken in, looked through, added to, written up, and looked back on."""

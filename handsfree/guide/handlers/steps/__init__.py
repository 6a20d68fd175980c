"""The steps: moving through them, their order, what differs between items, other procedures of the job."""

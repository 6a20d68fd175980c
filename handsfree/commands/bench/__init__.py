"""At the bench, and getting it ready: a job by voice, rehearsals, the demo, recordings, devices, models."""

"""What the log gives back: survival, habits, consistency, readiness. Numpy alone; no screen, no file."""

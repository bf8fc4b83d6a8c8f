"""What the log gives back, one folder a question. Screens and commands both draw on it, so the two cannot differ."""

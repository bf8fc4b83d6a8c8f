"""The command line: a command a file in `commands`, and what they share."""

"""From the bytes of a log to its records: lines, their faults, the tables they belong to."""

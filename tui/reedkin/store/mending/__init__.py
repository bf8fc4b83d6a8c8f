"""What is wrong with a log's records, and what can be done about it."""

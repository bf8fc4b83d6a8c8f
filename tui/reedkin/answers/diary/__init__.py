"""What was done, day by day; and where a word stands in all that was recorded."""

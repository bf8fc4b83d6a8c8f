"""What can come next on an entry line."""

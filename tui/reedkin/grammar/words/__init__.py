"""The words of an entry line, each by itself: what they are, and what they mean wherever they stand."""

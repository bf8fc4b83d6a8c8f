"""Logs that grew apart: uniting them, and what then does not go together."""

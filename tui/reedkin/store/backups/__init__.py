"""Backups of a log, what a log has lost against them, and the way back."""

"""Correcting what was recorded, as it is typed."""

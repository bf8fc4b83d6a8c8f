"""Engagements from a calendar file and plans to one, as RFC 5545 has it, by the library ical."""

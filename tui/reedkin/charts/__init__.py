"""Drawings: answers, and what a reed's lineage says, as styled text of a given width and height."""

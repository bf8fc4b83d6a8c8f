"""Drawings: what the analysis and a reed's lineage say, as styled text of a given width and height."""

"""reedkin: the memory of a double-reed maker's bench."""

__version__ = "1.0.0"

"""reedkin: the memory of a double-reed maker's bench."""

__version__ = "0.1.0"

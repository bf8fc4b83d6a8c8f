"""The files that makers of a circle give each other: what a log tells, and trials made together."""

"""The log on disk: a file of JSON lines that is only ever written at its end, and TinyDB on top of it."""

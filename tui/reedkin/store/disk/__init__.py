"""The log as a file: the calls to the disk, its lock, its end; files beside it, and files from outside."""

"""What `fuzzed` tries."""

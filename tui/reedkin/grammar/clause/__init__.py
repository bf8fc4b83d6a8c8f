"""One clause of a line: which reeds, which verb, which facts, and what becomes of the words left over."""

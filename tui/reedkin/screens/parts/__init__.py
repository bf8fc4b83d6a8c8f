"""What several screens are made of: how they ask, what they keep, their keys, prompts and lists."""

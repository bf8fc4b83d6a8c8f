"""What is there of cane, and what became of it?"""

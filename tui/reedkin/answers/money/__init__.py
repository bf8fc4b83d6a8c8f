"""What came in and what went out, and what is owed?"""

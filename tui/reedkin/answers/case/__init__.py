"""What to play, and why?"""

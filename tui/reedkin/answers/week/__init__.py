"""What was done this week?"""

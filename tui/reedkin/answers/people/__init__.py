"""Who has which reeds, what came back and why, and whose need replacing?"""

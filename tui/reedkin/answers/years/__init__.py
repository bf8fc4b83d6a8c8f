"""How does this year compare with the last?"""

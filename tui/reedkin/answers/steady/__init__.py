"""How steady is the hand?"""

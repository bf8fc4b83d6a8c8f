"""How long do reeds last?"""

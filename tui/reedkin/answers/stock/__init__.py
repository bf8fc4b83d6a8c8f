"""Which reeds are alive, and how is each?"""

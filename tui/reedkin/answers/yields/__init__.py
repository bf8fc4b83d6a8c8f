"""How many blanks come good, and what does a good reed cost?"""

"""What a reed maker records and what it means: events, reeds as folds of events, measures, the words for them.

Imports the standard library only; pint is imported inside the functions that convert units.
"""

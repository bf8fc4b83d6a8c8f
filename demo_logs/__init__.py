"""Invented logs of an invented reed maker, and the seeded generator that makes them."""

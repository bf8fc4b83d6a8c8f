"""Reusable pieces of screen. They know the domain and the charts, and no screen."""

"""Small faults made in a copy of the project, to see whether the tests find them."""

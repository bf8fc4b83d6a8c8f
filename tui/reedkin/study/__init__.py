"""A log made ready to be asked: what a life is, its rows on a clock, and the habits to look at. Needs numpy alone."""

"""Which tubes are free, and where are the others?"""

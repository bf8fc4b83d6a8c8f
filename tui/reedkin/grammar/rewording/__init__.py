"""What is said in another order or in other words, put into the line's own words before it is read."""

"""What is known now: reeds by tag, supplies, orders, trials, as read models over the records of a log."""

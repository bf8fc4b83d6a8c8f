"""What does a fair trial say?"""

"""What is asked for and due, and what went where?"""

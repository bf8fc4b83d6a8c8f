"""What is she engaged for?"""

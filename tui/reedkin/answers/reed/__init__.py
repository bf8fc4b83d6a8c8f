"""What happened to this reed?"""

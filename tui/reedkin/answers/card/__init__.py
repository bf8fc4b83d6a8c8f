"""What should who gets a reed know?"""

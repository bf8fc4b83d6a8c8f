"""What do several makers' logs say together?"""

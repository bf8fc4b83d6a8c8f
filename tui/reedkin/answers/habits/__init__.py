"""Which habits go with shorter lives?"""

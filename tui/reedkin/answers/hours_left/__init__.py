"""How much has a reed before it?"""

"""What `--json` of every command gives, as types: mypy holds the answers to them, and `schema.py` makes JSON Schemas of
them for others. Their docstrings are the descriptions in those."""

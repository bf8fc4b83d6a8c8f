"""Where two logs that were merged say things that cannot both hold, and how each is settled."""

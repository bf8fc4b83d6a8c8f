"""Clauses about things beside the reeds: sessions, cane, orders, engagements, trials, settings."""

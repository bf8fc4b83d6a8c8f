"""A spreadsheet of somebody's own: what its columns may be, and its rows as events."""

"""The screens, one file each, with its looks beside it."""

"""The command line: one file a command or family of commands; `commands` lists them."""

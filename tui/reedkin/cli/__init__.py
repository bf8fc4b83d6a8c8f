"""The command line: one file a command or family of commands. A command is a module with `NAME`, `HELP`,
`arguments(parser)` and `run(args, context) -> int`; `commands` lists them. Heavy modules are imported inside `run`."""

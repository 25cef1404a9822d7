"""The command line: one file a subcommand. Only this package prints, exits and reads arguments."""

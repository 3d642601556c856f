"""The commands, one file each.

A file's docstring is the summary, `EPILOG` its example, `add_arguments` and `run` the rest. A new command
is a file here, a line in `validation.cli.COMMANDS` and a row in the README. Only the chosen one is
imported. `options`, `pattern_options` and `usage` are shared.
"""

"""The command line, over the public names of nesting."""

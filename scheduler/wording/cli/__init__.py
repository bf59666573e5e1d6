"""Words of the command line: help, prompts, tables and refusals."""

"""`python -m scheduler` runs the same program as the `duskfold` command."""

from scheduler.cli import main

main()

"""The command line. Importing it costs nothing; each command imports what it needs."""


def main() -> None:
    """Runs `duskfold` with the arguments of the process."""
    from scheduler.cli.app import run  # noqa: PLC0415 - keeps `import scheduler.cli` free

    run()

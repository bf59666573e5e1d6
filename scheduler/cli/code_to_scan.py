"""The picture of an address, to scan from a terminal."""


def show_code(address: str) -> None:
    """Prints the QR code."""
    import segno  # noqa: PLC0415 - only who shows one needs it

    segno.make(address, error="l", micro=False).terminal(compact=True, border=2)

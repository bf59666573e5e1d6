"""Text as it may go on a wire: no line can be smuggled into a header, nothing half a character."""

import re
import unicodedata

_LINE_END = re.compile(r"\r\n?|[\x0b\x0c\x1c-\x1e\x85\u2028\u2029]")
_UNSEEN = re.compile(r"[\x00-\x08\x0e-\x1f\x7f]")


def one_line(text: str) -> str:
    """The text without line ends and control characters: each becomes a space."""
    return "".join(
        " " if unicodedata.category(letter) in {"Cc", "Zl", "Zp"} else letter
        for letter in _whole(text)
    ).strip()


def lines(text: str) -> str:
    r"""The text with every line end as \n and without other control characters."""
    return _UNSEEN.sub("", _LINE_END.sub("\n", _whole(text)))


def shortened(text: str, octets: int) -> str:
    """The text, or as many of its characters as fit into `octets` of UTF-8 with an ellipsis."""
    whole = text.encode()
    if len(whole) <= octets:
        return text
    return whole[: max(octets - len("…".encode()), 0)].decode(errors="ignore").rstrip() + "…"


def _whole(text: str) -> str:
    """The text with `?` for each half of a surrogate pair, which UTF-8 cannot carry."""
    return text.encode("utf-8", "replace").decode()

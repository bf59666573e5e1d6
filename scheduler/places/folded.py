"""Names as they are compared: without capitals, accents and signs, in any script."""

import re
import unicodedata

_LONGEST = 100  # no name is longer
# Accents, and the vowel signs of Hebrew and Arabic, which are seldom typed.
_MARKS = re.compile("[\u0300-\u036f\u0591-\u05c7\u0610-\u061a\u0640\u064b-\u065f\u0670]")
_LETTERS = str.maketrans(
    {
        "æ": "ae",
        "đ": "d",
        "ð": "d",
        "ə": "e",
        "ħ": "h",
        "ı": "i",
        "ł": "l",
        "ŋ": "ng",
        "ø": "o",
        "œ": "oe",
        "ŧ": "t",
        "þ": "th",
    }
)
_APOSTROPHES = re.compile("['`´‘’ʹʻʼʿ]")
# Vowel signs of Indian scripts are no letters to Python, and stay.
_SIGNS = re.compile(r"[!-/:-@\[-`{-¿‐-⁞、-〃。・،؛_]+")


def folded(text: str) -> str:
    """The text as names are compared: small plain letters, signs as single spaces, cut at 100."""
    # Half of a letter, which no file can hold, becomes a sign.
    plain = text[:_LONGEST].encode("utf-8", "replace").decode().casefold()
    if not plain.isascii():
        apart = unicodedata.normalize("NFKD", plain).translate(_LETTERS)
        plain = unicodedata.normalize("NFC", _MARKS.sub("", apart)).casefold()
    return " ".join(_SIGNS.sub(" ", _APOSTROPHES.sub("", plain)).split())

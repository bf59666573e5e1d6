"""Words for people: a pattern with named places, said in the language that is spoken."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache, wraps
from string import Formatter
from types import MappingProxyType
from typing import ClassVar, ParamSpec, TypeVar

_P = ParamSpec("_P")
_Said = TypeVar("_Said")


def one_or_many(count: int) -> int:
    """The form for one is the first, that for any other number the second, as in English."""
    return int(count != 1)


@dataclass(frozen=True, slots=True)
class Language:
    """Patterns by the key of their words; what has none is said in English."""

    tag: str
    patterns: Mapping[str, str]
    plural: Callable[[int], int] = one_or_many


ENGLISH = Language("en", MappingProxyType({}))
_spoken = ENGLISH
_forget: list[Callable[[], None]] = []


def speak(language: Language) -> None:
    """From now on every one of them is said in it, everywhere in this process."""
    global _spoken  # noqa: PLW0603 # one site, one language: nothing that speaks could be handed it
    _spoken = language
    for forget in _forget:
        forget()


def kept(most: int) -> Callable[[Callable[_P, _Said]], Callable[_P, _Said]]:
    """Keeps what a function said for so many arguments, until another language is spoken."""

    def keeping(say: Callable[_P, _Said]) -> Callable[_P, _Said]:
        keeper = lru_cache(most)(say)
        _forget.append(keeper.cache_clear)
        return wraps(say)(keeper)  # type: ignore[return-value] # which has the same arguments

    return keeping


def language_tag() -> str:
    """The tag of the language that is spoken, as a page says it: "en"."""
    return _spoken.tag


def pattern_of(key: str, english: str) -> str:
    """What the language that is spoken has under this key."""
    return _spoken.patterns.get(key, english)


def form_of(key: str, english: tuple[str, str], count: int) -> str:
    """What the language has under `key.0`, `key.1` and so on, by its rule for the number."""
    form = _spoken.plural(count)
    return pattern_of(f"{key}.{form}", english[min(form, 1)])


class Words:
    """One whole sentence, title or label; a class names each, and so gives its key.

    `{birds}` is a place, `{birds:hen is|hens are}` chooses by its number, `{{` is a brace.
    """

    all: ClassVar[dict[str, "Words"]] = {}
    __slots__ = ("english", "key")

    def __init__(self, english: str) -> None:
        """Its pattern in English."""
        self.english = english
        self.key = ""

    def __set_name__(self, owner: type, name: str) -> None:
        """Its key is `Class.name`; a second one of that key is a ValueError."""
        self.key = f"{owner.__name__}.{name}"
        if self.key in Words.all:
            raise ValueError(self.key)
        Words.all[self.key] = self

    def __call__(self, **places: object) -> str:
        """The text with its places filled; a KeyError where one is not given."""
        pattern = pattern_of(self.key, self.english)
        if _chooses(pattern):
            return "".join(map(str, self.pieces(places)))
        return pattern.format_map(places)  # takes two thirds of the time

    def pieces(self, places: Mapping[str, object]) -> Iterator[object]:
        """What stands between the places as text, and what stands in them as it is."""
        for literal, place, forms in _split(pattern_of(self.key, self.english)):
            if literal:
                yield literal
            if forms:
                count = places[place]
                if not isinstance(count, int):
                    raise TypeError(f"{self.key}: {place} is {count!r}, not a whole number")
                yield forms[min(_spoken.plural(count), len(forms) - 1)]
            elif place:
                yield places[place]

    @property
    def places(self) -> frozenset[str]:
        """The names of the places in its English pattern."""
        return frozenset(place for _, place, _ in _split(self.english) if place)


@cache
def every(owner: type) -> Mapping[str, Words]:
    """All words of the class by their names, in its order: what a code or a day chooses from."""
    found = {name: words for name, words in vars(owner).items() if isinstance(words, Words)}
    return MappingProxyType(found)


def by_code(owner: type, code: str) -> Words:
    """Those of the class that a code has: "not-found", "run only" and "bad address" alike."""
    return every(owner)[code.replace("-", "_").replace(" ", "_")]


@cache
def _chooses(pattern: str) -> bool:
    """Whether a number chooses any of its forms."""
    return any(forms for _, _, forms in _split(pattern))


@cache
def _split(pattern: str) -> tuple[tuple[str, str, tuple[str, ...]], ...]:
    """Each piece of text, the place after it or "", and the forms that its number chooses from."""
    return tuple(
        (literal, place or "", tuple(spec.split("|")) if spec else ())
        for literal, place, spec, _ in Formatter().parse(pattern)
    )

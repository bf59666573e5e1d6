"""A thermometer of the keeper's own, which writes to a file on this machine."""

import re
from collections.abc import Iterator
from typing import Annotated, Any, Literal, Self

from pydantic import ValidationInfo, model_validator

from scheduler.profile.field_readers import reader
from scheduler.profile.fields import Name, Slug, Word
from scheduler.profile.frozen_table import Value, agree, key, needed
from scheduler.profile.problem import Problem, Unreadable, shown
from scheduler.profile.text_fields import LONGEST_TEXT, read_line
from scheduler.wording.profile.problem_words import Explained
from scheduler.wording.profile.shared_keys import SharedKeys
from scheduler.wording.profile.weather_keys import SensorKeys, WrongSensor

SensorPlace = Literal["outside", "coop"]
_WHOLE_PATH = re.compile(r"(?:/|[A-Za-z]:[\\/]).+")


def _read_file(value: Any, _: ValidationInfo) -> str:  # noqa: ANN401 - TOML gives any type
    try:
        text = read_line(value, LONGEST_TEXT)
    except Unreadable as refused:
        raise Unreadable(WrongSensor.file(), refused.hint) from None
    if not _WHOLE_PATH.fullmatch(text):
        raise Unreadable(WrongSensor.file(), WrongSensor.from_the_root())
    if text.endswith(("/", "\\")):
        raise Unreadable(WrongSensor.file(), WrongSensor.folder())
    return text


class Sensor(Value):
    """A thermometer outside or in a house. Duskfold only reads its file."""

    name: Name = needed(SensorKeys.name)
    id: Slug = needed(SharedKeys.id)
    where: Word[SensorPlace] = needed(SensorKeys.where)
    coop: Slug | None = key(None, SensorKeys.coop)
    file: Annotated[str, reader(_read_file)] = needed(SensorKeys.file)

    @model_validator(mode="after")
    def _place_and_house_agree(self) -> Self:
        agree(self._disagreements())
        return self

    def _disagreements(self) -> Iterator[Problem]:
        if self.where == "coop" and self.coop is None:
            found, accepted = Explained.missing(), WrongSensor.needs_coop()
            yield Problem(key=("coop",), found=found, accepted=accepted)
        if self.where == "outside" and self.coop is not None:
            found, accepted = shown(self.coop), WrongSensor.outside()
            yield Problem(key=("coop",), found=found, accepted=accepted)

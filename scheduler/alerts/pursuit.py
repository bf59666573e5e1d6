"""What one instant asks of an evening's deliveries."""

from dataclasses import dataclass

from scheduler.alerts.delivery import Delivery, Key, Message


@dataclass(frozen=True, slots=True, kw_only=True)
class Pursuit:
    """Deliveries to write down, waiting ones to give up, waiting ones with other words."""

    add: tuple[Delivery, ...] = ()
    drop: tuple[Key, ...] = ()
    reword: tuple[tuple[Key, Message], ...] = ()

    @property
    def nothing(self) -> bool:
        """Whether there is nothing to do."""
        return not (self.add or self.drop or self.reword)

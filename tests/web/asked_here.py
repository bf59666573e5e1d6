"""Views asked in this process, over the journal of a house of the fault tests."""

from collections.abc import Generator
from contextlib import closing
from dataclasses import dataclass
from datetime import timedelta

from scheduler.journal.access import SignedIn
from scheduler.machine.signing_key import signing_key
from scheduler.web.household_now import Lookout
from scheduler.web.last_results import Plans
from scheduler.web.request_and_answer import Visit
from tests.faults.house import House

_HOUR = timedelta(hours=1)


@dataclass
class Here:
    """A house, what its pages know of it, and who looks at them."""

    house: House
    lookout: Lookout
    plans: Plans

    def it_is(self, clock: str) -> None:
        """Moves the house's clock, on the winter's day."""
        self.house.set_clock(self.house.local(clock))

    def visit(self, who: str = "ana", **form: str) -> Visit:
        """What a view is handed of that person's look, or of what they press."""
        now = self.house.now
        session = SignedIn(id_hash="", person_id=who, device="", made_at=now, until=now + _HOUR)
        sent = {name.replace("_", "-"): [value] for name, value in form.items()}
        standing = self.lookout.standing(now)
        return Visit(now=now, standing=standing, lookout=self.lookout, session=session, form=sent)


def here(house: House) -> Generator[Here, None, None]:
    """The house with its journal made and read."""
    house.place.open().close()
    key = signing_key(house.data, {})
    with closing(Lookout(house.profile_path, house.place, key)) as lookout:
        yield Here(house=house, lookout=lookout, plans=Plans())

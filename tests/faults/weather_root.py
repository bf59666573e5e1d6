"""The tests' root with a weather service on loopback in MET Norway's place.

`python -m tests.faults.weather_root SETTINGS`; the service's address stands in the environment.
"""

import os
import sys
from functools import partial

from scheduler.cli import running
from scheduler.service.weather.ask import Services
from scheduler.sources.met_norway import MetNorway
from scheduler.watch.process import Watch
from tests.faults import root

SERVICE = "DUSKFOLD_TEST_WEATHER"


def main() -> int:
    """Runs until SIGTERM."""
    url = os.environ[SERVICE]

    def services() -> Services:
        return Services(ports={"met-norway": MetNorway(server=url)})

    vars(running)["Watch"] = partial(Watch, services=services)
    return root.main()


if __name__ == "__main__":
    sys.exit(main())

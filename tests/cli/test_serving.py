"""The pages alone, where nothing has ever run."""

import subprocess
import sys
from pathlib import Path

from scheduler.machine.paths import JOURNAL_NAME
from scheduler.watch.journal_recovery import COPIES
from tests.alerts.orchard import ANA, SITE, WALNUT
from tests.web.front import free_port


def web(folder: Path) -> "subprocess.CompletedProcess[str]":
    """`duskfold web`, asked to end as soon as it has begun."""
    profile = folder / "duskfold.toml"
    profile.write_text(SITE + WALNUT + ANA + f'[web]\nlisten = "127.0.0.1:{free_port()}"\n')
    command = [sys.executable, "-m", "scheduler", "web", "-p", str(profile)]
    command += ["--data", str(folder / "data"), "--until-stdin-ends"]
    return subprocess.run(
        command, stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False, timeout=60
    )


def test_p10_the_pages_run_where_no_reminders_have_ever_run(tmp_path: Path) -> None:
    done = web(tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert (tmp_path / "data" / JOURNAL_NAME).is_file()


def test_a_lost_journal_is_left_to_the_reminders_which_take_the_copy(tmp_path: Path) -> None:
    (tmp_path / "data").mkdir()
    (tmp_path / "data" / COPIES[0]).touch()
    done = web(tmp_path)
    assert done.returncode == 1
    assert "Start `duskfold serve`" in done.stderr
    assert not (tmp_path / "data" / JOURNAL_NAME).exists()

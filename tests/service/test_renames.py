"""What may only have another name is asked about; what has gone or come is not."""

import pytest

from scheduler.service.household.renames import may_be_another_site, renames
from tests.alerts.orchard import household
from tests.conftest import SMALL, declared

PEOPLE = '[[person]]\nname = "Ana"\n[[person]]\nname = "Kim"\n'
BARN = '[[coop]]\nname = "Barn"\n[[flock]]\nname = "Others"\ncoop = "barn"\nhens = 3\n'
TEXT = SMALL.replace('name = "Girls"', 'name = "Girls"\ncoop = "walnut"') + PEOPLE


@pytest.mark.parametrize(
    ("old", "new", "asked"),
    [
        ('"Orchard"', '"Meadow"', "Orchard is gone and Meadow is new, so its diary, its reports, "),
        ('"Ana"', '"Anna"', "Ana is gone and Anna is new, so the addresses, links and sign-ins "),
        ('"Ana"', '"安娜"', "Ana is gone and 安娜 is new"),
        (
            '"Girls"',
            '"Ladies"',
            "Girls is gone and Ladies is new, so the record of its jobs ends with Girls.",
        ),
        ('"Ana"', '"Anna"\nid = "somebody-new"', None),  # a new id is a new thing
        ('"Ana"', '"Anna"\nid = "ana"', None),
        ('name = "Kim"', 'name = "Lea"\nmail = "lea@example.org"', None),  # somebody else
        ('"Kim"', '"Kim"\n[[person]]\nname = "Noor"', None),
        ('[[person]]\nname = "Kim"\n', "", None),
        ("hens = 12", "hens = 11", None),
    ],
)
def test_what_may_only_have_another_name_is_asked_about(
    old: str, new: str, asked: str | None
) -> None:
    assert old in TEXT
    found = list(renames(declared(TEXT), declared(TEXT.replace(old, new, 1))))
    assert len(found) == (asked is not None)
    assert all(one.startswith(asked or "") for one in found)


@pytest.mark.parametrize(
    ("old", "new", "is_noted"),
    [
        ("果园", "牧场", True),
        ("果园", "果园", False),
        ("果园", '牧场"\nid = "site-1', False),  # whoever writes it means it
        ("Orchard", "果园", False),  # of another id: that is asked about
    ],
)
def test_another_site_that_gets_the_same_id_is_noted(old: str, new: str, is_noted: bool) -> None:
    was, now = (household(SMALL.replace("Orchard", name)) for name in (old, new))
    found = list(may_be_another_site(was, now))
    assert bool(found) == is_noted
    assert all("果园 and is 牧场. Both have the id site-1" in one for one in found)


def test_a_house_and_its_flock_that_come_are_no_rename() -> None:
    assert not list(renames(declared(TEXT), declared(TEXT + BARN)))
    assert not list(renames(declared(TEXT + BARN), declared(TEXT)))

"""What is said beside each input about people."""

from scheduler.wording.words import Words


class PersonLabels:
    """What the keys of a person are called."""

    name = Words("Name")
    mail = Words("Email address")
    telephone = Words("Telephone number")
    push = Words("Where push messages go")
    service = Words("Where another service's messages go")
    brief = Words("Gets the morning brief")
    range_reminder = Words("Is told when free-range time begins")
    role = Words("What they may do")
    first_day = Words("First day")
    last_day = Words("Last day")


class PersonPurposes:
    """What the keys of a person are for."""

    telephone = Words("Whoever is signed in can call it from Today. No message names it.")
    push = Words("The address is the secret: whoever knows it can read along.")
    service = Words("The name under which its address is kept as a secret on the server.")
    brief = Words("If nothing is said, they get it on the days when they lock up.")
    first_day = Words("Only somebody who looks after the birds while you are away has one.")
    last_day = Words("After it they are signed out and told nothing.")


class RoleChoices:
    """What somebody can be allowed."""

    owner = Words("everything")
    member = Words("birds, jobs, evenings and reports")
    sitter = Words("evenings and jobs on the days they are invited for")

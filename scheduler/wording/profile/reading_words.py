"""What each kind of value in a profile accepts, and what helps whoever wrote something else."""

from scheduler.wording.words import Words


class Degrees:
    """Latitude and longitude as people and maps write them."""

    latitude = Words('degrees from -90 to 90, such as 44.3, "44.3° N" or "44°18\'N"')
    longitude = Words('degrees from -180 to 180, such as -71.2, "71.2° W" or "71°12\'W"')


class Places:
    """Both halves of a place on one line, and what is wrong with how they are written."""

    both = Words("latitude and longitude, such as 44.3, -71.2 or 44°18'N 71°12'W")
    latitude_first = Words("Latitude comes first.")
    sign_or_side = Words("Give a minus sign or a letter such as S, not both.")


class OneOfTwo:
    """What is said where both halves stand and only this one is wanted."""

    latitude = Words("That is both. Give only the latitude here.")
    longitude = Words("That is both. Give only the longitude here.")


class SideOf:
    """What is said of a side, N or W, that belongs to this axis and not to the one that is read."""

    latitude = Words('"{side}" belongs to the latitude.')
    longitude = Words('"{side}" belongs to the longitude.')


class Numbers:
    """Plain numbers, quantities and switches."""

    number = Words("a number from {least} to {most}")
    whole = Words("a whole number from {least} to {most}")
    percents = Words("a number from 0 to 100, or twelve, January first")
    switch = Words("true or false")
    without_quotes = Words("Write it without quotes.")
    with_unit = Words("Write the number with its unit, in quotes.")
    whole_days = Words('whole days such as "5 days" or "2 weeks"')
    days = Words("It should be between {least} and {most} days.")
    ground = Words("It should be between 100 cm² and 100 hectares.")


class Bounds:
    """Between what a quantity of each dimension should be."""

    length = Words("It should be between {least} and {most} m.")
    area = Words("It should be between {least} and {most} m².")
    volume = Words("It should be between {least} and {most} L.")
    mass = Words("It should be between {least} and {most} kg.")
    temperature = Words("It should be between {least} and {most} °C.")
    duration = Words("It should be between {least} and {most} minutes.")
    angle = Words("It should be between {least} and {most} degrees.")


class SeveralValues:
    """Lists of durations and of a reminder's steps."""

    durations = Words('a list of durations such as ["10 min", "25 min"]')
    each = Words("Each should be between {least} and {most} minutes.")
    steps = Words('a list that holds "now", of {steps}')
    nobody_told = Words("Without it nobody is told when to shut the door.")


class Lines:
    """Names and other lines of text."""

    one_line = Words("one line of text, at most {longest} characters")
    longer = Words("It has {characters} characters.")
    invisible = Words("It holds the invisible character {character}.")
    slug = Words('small letters, digits and hyphens such as "old-barn", at most 40')


class Addresses:
    """Addresses of mail, of a push topic, of pages and of machines."""

    mail = Words('one email address such as "sam@example.org"')
    telephone = Words('a telephone number such as "+44 20 7946 0000"')
    host = Words('the name of a server such as "mail.example.org"')
    push = Words('a push topic address such as "https://push.example.org/topic-name"')
    begins = Words("It must begin with https:// (or at home perhaps http://).")
    reserved = Words('A push server keeps "{topic}" for its own pages. Choose a long random topic.')
    topic = Words(
        "A topic has at most 64 letters without accents, digits, hyphens and underscores."
    )
    pages = Words('the address of the pages without a path, such as "https://hens.example.org"')
    listen = Words('an address and a port of this machine, such as "127.0.0.1:8640"')
    networks = Words('a list of addresses or networks such as ["127.0.0.1", "10.0.0.0/8"]')
    no_network = Words('"{network}" is not one.')
    push_services = Words('a list of hosts such as ["push.example.org", "push.example.net:8443"]')
    no_host = Words('"{host}" is not one.')


class Moments:
    """Dates, times of day and time zones."""

    time_of_day = Words('a time of day such as "22:30" or "10:30 pm"')
    time_or_none = Words('a time of day such as "22:30" or "10:30 pm", or "none"')
    date = Words("a date such as 2026-04-01")
    zone = Words('a time zone such as "Europe/Paris"')
    zone_of = Words('a time zone such as "Europe/Paris" or "America/Denver"')

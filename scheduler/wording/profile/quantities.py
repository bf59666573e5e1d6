"""Numbers with the signs of their units, and what may be written as a quantity."""

from scheduler.wording.words import Words


class UnitSigns:
    """A number with the sign of its unit: between them a space that no line breaks at."""

    celsius = Words("{number}\u00a0°C")
    fahrenheit = Words("{number}\u00a0°F")
    metres = Words("{number}\u00a0m")
    centimetres = Words("{number}\u00a0cm")
    millimetres = Words("{number}\u00a0mm")
    feet = Words("{number}\u00a0ft")
    inches = Words("{number}\u00a0in")
    square_metres = Words("{number}\u00a0m²")
    square_centimetres = Words("{number}\u00a0cm²")
    square_feet = Words("{number}\u00a0sq ft")
    square_inches = Words("{number}\u00a0sq in")
    litres = Words("{number}\u00a0L")
    millilitres = Words("{number}\u00a0mL")
    quarts = Words("{number}\u00a0qt")
    gallons = Words("{number}\u00a0gal")
    litres_loose = Words("{number}\u00a0L loose")
    cubic_feet_loose = Words("{number}\u00a0cu ft loose")
    kilograms = Words("{number}\u00a0kg")
    grams = Words("{number}\u00a0g")
    pounds = Words("{number}\u00a0lb")
    ounces = Words("{number}\u00a0oz")
    grams_an_area = Words("{number}\u00a0g/m²")
    ounces_an_area = Words("{number}\u00a0oz/sq ft")
    cubic_metres_an_hour = Words("{number}\u00a0m³/h")
    cubic_feet_a_minute = Words("{number}\u00a0cfm")
    kilometres_an_hour = Words("{number}\u00a0km/h")
    miles_an_hour = Words("{number}\u00a0mph")
    kilovolts = Words("{number}\u00a0kV")
    watts = Words("{number}\u00a0W")
    lux = Words("{number}\u00a0lux")
    hours = Words("{number}\u00a0h")
    percent = Words("{number}\u00a0%")


class SeveralNumbers:
    """Numbers that are one quantity together."""

    feet_and_inches = Words("{feet}\u00a0{inches}")
    dashed = Words("{least}–{most}")
    to = Words("{least} to {most}")


class WrittenQuantities:
    """What a text of the catalogue may have as a quantity."""

    with_unit = Words("a number or a range, and one of: {units}")
    number = Words("a number")
    ascending = Words("a range that begins with its lower end")
    the_same = Words("the same on both sides of =, in units of other keepers")


class AcceptedQuantities:
    """What may be written for a quantity of each dimension."""

    length = Words('a length such as "1.8 m", "60 cm" or "6 ft"')
    area = Words('an area such as "3 m²", "32 sq ft" or "4 ft x 8 ft"')
    volume = Words('a volume such as "8 L" or "2 US gal"')
    mass = Words('a mass such as "2 kg" or "4.4 lb"')
    temperature = Words('a temperature such as "-5 °C" or "23 °F"')
    duration = Words('a time such as "40 min", "2 h" or "7 days"')
    angle = Words('an angle in degrees such as 4 or "4°"')


class MeasuresAnother:
    """What is said of a unit that measures something else than what is asked for."""

    length = Words('"{unit}" measures length.')
    area = Words('"{unit}" measures area.')
    volume = Words('"{unit}" measures volume.')
    mass = Words('"{unit}" measures mass.')
    temperature = Words('"{unit}" measures temperature.')
    duration = Words('"{unit}" measures duration.')
    angle = Words('"{unit}" measures angle.')


class NotTheSameEverywhere:
    """What is said of a unit that is one thing in the US and another in the UK."""

    gal = Words("A gallon is not the same everywhere. Say which.")
    qt = Words("A quart is not the same everywhere. Say which.")
    pt = Words("A pint is not the same everywhere. Say which.")


class WhichOfTwo:
    """What is accepted for a unit that is one thing in the US and another in the UK."""

    accepted = Words('"{size} US {unit}" ({us} L) or "{size} imp {unit}" ({imperial} L)')


class QuantityHints:
    """What helps whoever wrote a quantity that cannot be read."""

    point = Words("Write decimals with a point.")
    unit_missing = Words("The unit is missing.")
    both_sides = Words("Write the unit on both sides.")

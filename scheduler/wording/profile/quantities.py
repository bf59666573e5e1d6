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

"""What the page About says besides its template and the jobs that it repeats."""

from scheduler.wording.words import Words


class Cautions:
    """What somebody may be hurt by."""

    heat_lamps = Words("Heat lamps")
    wiring = Words("Wiring and heaters")
    air = Words("Ammonia and dust")
    medicines = Words("Medicines and eggs")
    disease = Words("Disease and orders")
    food = Words("Food and hands")

"""What the page Add offers to tell, and what it asks for."""

from scheduler.wording.words import Words


class PredatorTiles:
    """One tap each, by how close it came."""

    nearby = Words("A predator was seen nearby")
    tried = Words("A predator tried to get in")
    got_at = Words("A predator got at the birds")


class WrongNumber:
    """Why a temperature was not kept, where no number was typed."""

    degrees = Words("Type a number, such as {example}.")

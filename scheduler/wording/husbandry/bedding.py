"""The figures of the bedding."""

from scheduler.wording.words import Words


class BeddingFigures:
    """The labels and notes of the figures of the bedding."""

    moisture = Words("moisture on the bedding")
    stir = Words("stir the bedding")
    stir_hens = Words("stir the bedding (not the chicks')")
    stir_how_often = Words("1 to {most}: the wetter the floor, the more often")
    top_up = Words("top up the bedding every")
    top_up_hens = Words("top up the bedding (not the chicks') every")
    top_up_how_often = Words("14, 28 or 56: the wetter the floor, the more often")

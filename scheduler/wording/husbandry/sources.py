"""Where a number comes from, if from no publication."""

from scheduler.wording.words import Words


class OwnSources:
    """Sources that nobody has printed."""

    common_practice = Words("common practice, no source")
    worked_out = Words("worked out from the figures above")
    sunrise_to_sunset = Words("sunrise to sunset at the site")


class QualifiedSources:
    """Publications of which a part is from memory, or beside which something else stands."""

    eu_rest = Words("Council Directive 1999/74/EC, Art. 2 and 4, these parts from memory")
    eu_litter = Words(
        "Council Directive 1999/74/EC, Art. 4 (250 cm² a hen; a third of the floor from memory)"
    )
    cigr = Words("CIGR 2002, 4th Report of Working Group on Climatization (equations), from memory")
    water_in_heat = Words(
        "Poultry Hub (0.27 L at 21 °C, a third to a half more in heat); what is planned above "
        "that is common practice"
    )
    nrc = Words("NRC 1994, Nutrient Requirements of Poultry, 9th ed., from memory")
    nest_size = Words("Ask Extension, question 257347, 2015; more is common practice")
    thi = Words(
        "Hy-Line, Understanding Heat Stress in Layers (70), OMAFRA heat stress app (81); "
        "formula and danger from 76 from memory"
    )
    lux = Words(
        "T. R. Morris 2004 (10 lux), World's Poult. Sci. J.; up to 30: breeders' guides, from "
        "memory"
    )
    ashrae = Words("psychrolib, after the ASHRAE Handbook, Fundamentals")

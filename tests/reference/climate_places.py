"""Published averages of places that are not among the stations the climate map was made with.

Each says where its figures stand; "from memory" means that they were not looked up. A place or a
height that the source does not give is a gazetteer's, from memory. `liquisearch.com` and
`climatestotravel.com` repeat what the services named with them publish.
"""

from typing import NamedTuple

# How far from the map an average may be. Averages of before 1990 are up to 1 °C colder besides.
LOWLAND_C = 3.0
# Highlands, hollows where cold air gathers, the coast of a cold sea: the map knows half a degree.
UNEVEN_C = 5.0
# A dry valley whose mountains stand a kilometre above what the map takes for its land.
WALLED_IN_C = 7.0

Pair = tuple[float | None, float | None]
_NOT_SAID: Pair = (None, None)


class Place(NamedTuple):
    """A place's average (low, high) in January and July, and its frost nights a year.

    `within_c` and `nights_within` are how far from that the map may be: 25 nights, on a mild coast
    10, in hollows 40. In the United States a night of 32 °F counts, which is one rounded to it.
    """

    name: str
    latitude_deg: float
    longitude_deg: float
    elevation_m: float
    january_c: Pair
    july_c: Pair
    within_c: float
    frost_nights: float | None = None
    nights_within: float = 25.0


PLACES = (
    # Met Office station data (eastbournedata.txt, braemardata.txt), their means of 2000-2019 here.
    Place("Eastbourne GB, coast", 50.76, 0.28, 7, (3.8, 8.6), (14.8, 21.3), LOWLAND_C, 15, 10),
    Place("Braemar GB, highland", 57.01, -3.40, 339, (-1.3, 4.8), (8.9, 18.1), UNEVEN_C, 102),
    # liquisearch.com/buxton/climate: Met Office station at 307 m, 1971-2000.
    Place("Buxton GB, upland", 53.26, -1.91, 307, (-0.1, 4.9), (10.7, 18.6), LOWLAND_C),
    # climatestotravel.com/climate/sweden/lulea and .../switzerland/zermatt, in whole degrees.
    Place("Luleå SE, coast at 66° N", 65.58, 22.15, 16, (-13, -5), (11, 21), LOWLAND_C),
    Place("Zermatt CH, mountains", 46.02, 7.75, 1608, (-8, 0), (7, 19), UNEVEN_C),
    # NOAA U.S. Climate Normals 1991-2020, normals-monthly: USW00094765.csv and USC00055116.csv,
    # MLY-TMIN-NORMAL, MLY-TMAX-NORMAL and MLY-TMIN-AVGNDS-LSTH032, from °F.
    Place("Lebanon US, inland", 43.63, -72.30, 182, (-12.6, -0.9), (14.3, 28.2), LOWLAND_C, 163),
    Place(
        "Longmont US, high plain",
        40.17,
        -105.08,
        1509,
        (-9.8, 6.9),
        (13.0, 32.7),
        UNEVEN_C,
        178,
        40,
    ),
    # friedrichmaier.de/?p=60354, a copy of an encyclopedia: mornings at or below freezing.
    Place("Berlin US, inland", 44.47, -71.18, 284, _NOT_SAID, _NOT_SAID, LOWLAND_C, 180.5),
    # wrcc.dri.edu/cgi-bin/cliGCStT.pl?cowest, 1948-2006, from °F. A hollow among mountains.
    Place(
        "Westcliffe US, mountains",
        38.13,
        -105.47,
        2396,
        (-13.9, 4.3),
        (7.0, 27.3),
        UNEVEN_C,
        220,
        40,
    ),
    # beavercreek.nau.edu/Weather Stations/Montezuma.htm (WRCC), 1938-2005, from °F. It gives
    # 7,480 ft, which is not the valley's: 3,180 ft.
    Place("Montezuma Castle US, hollow", 34.61, -111.83, 970, (-3.2, 15.5), (17.5, 38.4), UNEVEN_C),
    # weather.gov/tsa/climo_muskogee, National Weather Service Tulsa, from °F.
    Place("Muskogee US, inland", 35.66, -95.36, 186, (-2.6, 9.3), (21.2, 33.4), LOWLAND_C),
    # dirksforecastingcenter.blogspot.com, 20 years at Rice Lake, in whole °F.
    Place("Rice Lake US, inland", 45.51, -91.74, 340, (-17.2, -6.1), (15.0, 27.2), LOWLAND_C),
    # Canadian Climate Normals 1971-2000, Burnaby Simon Fraser U; 1981-2010, Nouvelle.
    Place("Burnaby CA, above a coast", 49.28, -122.92, 366, (0.6, 4.9), (12.7, 20.9), LOWLAND_C),
    Place("Nouvelle CA, coast", 48.13, -66.32, 20, (-17.0, -7.5), (12.1, 23.6), LOWLAND_C),
    # liquisearch.com/darjeeling/climate (1901-2000) and /ooty/climate: India Meteorological
    # Department. Winter at Darjeeling lies in cloud.
    Place("Darjeeling IN, mountains", 27.05, 88.26, 2128, (1.8, 9.4), (14.3, 19.4), UNEVEN_C),
    Place("Ooty IN, tropical highland", 11.41, 76.70, 2240, (5.6, 20.3), (11.0, 16.9), UNEVEN_C),
    # weather.thewest.yahoo.com.au, Port Douglas, long-term averages of January.
    Place(
        "Port Douglas AU, tropical coast", -16.48, 145.47, 48, (25.6, 32.2), _NOT_SAID, LOWLAND_C
    ),
    # liquisearch.com/queenstown_new_zealand/climate: NIWA.
    Place("Queenstown NZ, lake valley", -45.03, 168.66, 329, (10.7, 22.6), (0.1, 8.2), LOWLAND_C),
    # liquisearch.com/orange_new_south_wales/climate: Orange Airport.
    Place("Orange AU, upland", -33.38, 149.13, 945, (12.2, 26.0), (0.7, 9.3), LOWLAND_C),
    # bom.gov.au/climate/averages/tables/cw_076047_All.shtml, highs 1937-2025.
    Place("Ouyen AU, inland", -35.07, 142.31, 65, (None, 32.5), (None, 15.2), LOWLAND_C),
    # nationsencyclopedia.com/Africa/South-Africa-CLIMATE.html: July lows. A cold, foggy sea.
    Place("Port Nolloth ZA, cold coast", -29.25, 16.87, 7, _NOT_SAID, (7.0, None), UNEVEN_C),
    # From memory.
    Place(
        "Charters Towers AU, tropics", -20.05, 146.27, 290, (22.2, 33.9), (11.4, 24.8), LOWLAND_C
    ),
    Place("Leh IN, high valley", 34.16, 77.58, 3500, (-14.4, -2.0), (10.2, 24.7), WALLED_IN_C),
)

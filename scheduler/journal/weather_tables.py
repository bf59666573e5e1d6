"""The tables of the weather: what was decided of a day, and what a thermometer showed."""

from sqlalchemy import Column, Date, Float

from scheduler.journal.columns import WORDS, UtcInstant, of_sites, short

# A day as it was last decided; forgotten two months after it.
weather_decided = of_sites(
    "weather_decided",
    Column("day", Date, primary_key=True),
    Column("decided_at", UtcInstant, nullable=False),
    Column("value", WORDS, nullable=False),  # a DecidedDay, as JSON
)

# What the keepers' own thermometers showed; forgotten after three days.
weather_measured = of_sites(
    "weather_measured",
    Column("sensor_id", short(40), primary_key=True),
    Column("at", UtcInstant, primary_key=True, autoincrement=False),
    Column("air_c", Float, nullable=False),
    Column("humidity", Float),  # 0 to 1
)

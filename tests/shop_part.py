"""The part of the shop's tests: the leeboard as in the README, without anything on paper but its title."""

from panelmech import Design, catalogue

LEEBOARD = Design(
    sheet=catalogue["glass-epoxy laminate, lengthwise"],
    sheet_thickness=0.002,
    free_length=0.225,
    land_length=0.015,
    spacer_diameter=0.018,
    setback=0.003,
    span=0.85,
    title="Leeboard",
)

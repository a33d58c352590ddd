"""The part that many tests share: the leeboard as in the README, without anything on paper but its title."""

from panelmech import Design, catalogue

GLASS = catalogue["glass-epoxy laminate, lengthwise"]
LEEBOARD = Design(
    sheet=GLASS,
    sheet_thickness=0.002,
    free_length=0.225,
    land_length=0.015,
    spacer_diameter=0.018,
    setback=0.003,
    span=0.85,
    title="Leeboard",
)

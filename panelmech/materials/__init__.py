"""Sheet stock, adhesives, spacers, resins, water: records with basis and source, and the catalogue."""

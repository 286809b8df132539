"""Before buying, from Python: three plants, two spots, on the invented demo weather."""

import climrisk

hours = climrisk.load_weather(demo=True)
for plant in ("Phalaenopsis hybrids", "Epidendrum, reed-stem", "Cymbidium, standard"):
    for spot in ("open-rail", "roofed-balcony"):
        told = climrisk.assess(plant, hours, spot=spot, as_of="2026-11-25")
        year = told.air.preferred_per_growing_year
        print(
            f"{told.plant.name}, {spot}: {told.verdict.word}; "
            f"{year.typical:.0f} hours too cold in a typical year, "
            f"inside by {told.move_in.month_day or told.move_in.status}"
        )

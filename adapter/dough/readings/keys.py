"""The keys of the readings, in the order in which they are shown."""

READINGS = (
    "hydration", "effective_hydration", "sugar", "sweetness", "fermentable_sugar", "tta", "ph", "salt", "fat",
    "fibre", "rye_share", "wholegrain_share", "prefermented_flour", "yeast", "pace", "rise_time",
    "starch_attack", "water_activity", "flour_mass", "dough_mass",
)  # fmt: skip

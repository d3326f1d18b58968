"""The keys of the readings, in the order in which they are shown."""

READINGS = (
    "hydration", "effective_hydration", "sugar", "sweetness", "fermentable_sugar", "tta", "ph", "salt", "label_salt", "fat",
    "fibre", "rye_share", "wholegrain_share", "gluten", "prefermented_flour", "yeast", "pace", "rise_time", "leavening_gas",
    "starch_attack", "water_activity", "flour_mass", "dough_mass",
)  # fmt: skip

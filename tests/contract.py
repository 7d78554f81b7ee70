"""What stays stable, so that other programs may rely on it."""

#: The keys of ``plan --json``, each with those inside it.
PLAN_KEYS = {
    "thread": ("designation", "standard", "nominal_mm", "pitch_mm", "minor_min_mm", "minor_max_mm"),
    "remnant": ("kind", "flutes", "web_mm", "web_source"),
    "electrode": (
        "label",
        "diameter_mm",
        "hole_mm",
        "thread_clearance_mm",
        "web_margin_mm",
        "allowed_offset_mm",
        "reach_mm",
        "needed",
    ),
    "arc": ("amps_low", "amps_high", "range"),
    "flush": ("pressure_kpa", "flow_l_min", "catch_ml_10s", "rise_k"),
    "depth": ("recess_mm", "target_mm", "limit_mm", "burn_mm", "stops_mm"),
    "time": ("median_s", "low_s", "high_s", "burns_known"),
}
#: ... and those that stand alone; ``sources`` has an entry for each of the others.
PLAN_LONE_KEYS = ("price", "cautions", "sources")

#: The keys of ``replay --json``, in their order.
REPLAY_KEYS = (
    "readings",
    "rejected",
    "arc_s",
    "travel_mm",
    "depth_mm",
    "depth_low_mm",
    "depth_high_mm",
    "wear_mm",
    "wear_ratio",
    "wear_ratio_sd",
    "feed_mm_min",
    "calls",
)

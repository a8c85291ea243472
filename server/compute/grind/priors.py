"""What is believed of any grinder before its first shot, and the thresholds of the advice.

Every `_sd` is in ln time: 0.05 is about 5 %. None of these has a published source: they are conventions of
this app, chosen on the simulated bar of `tests/simulation` (truth A only). The sheet carries them to the phone,
so that both sides reckon with the same numbers.
"""

PRIORS = {
    # One shot against the next, same hands and setting; believed as firmly as from so many shots.
    "spread_sd": 0.07,
    "spread_dof": 10,
    # Levels: a grinder never seen; a coffee new to it; a changed recipe; another bag of a known coffee.
    "grinder_sd": 0.35,
    "coffee_sd": 0.15,
    "recipe_sd": 0.06,
    "bag_sd": 0.12,
    # How levels wander: per square root of an hour at work, and once for each night.
    "hour_sd": 0.018,
    "night_sd": 0.03,
    "night_gap_h": 5.0,
    # Finer by one step lengthens a shot by this share: median 4 %, with room for 0.5 to 25 %.
    "slope": 0.04,
    "slope_sd": 0.05,
    "slope_least": 0.005,
    # A person's own "one step is about ... seconds" is taken as right to within a quarter.
    "slope_said_share": 0.25,
    # Per gram of dose; per day of age; first shots of a day; what the end flow was misjudged by.
    "dose": 0.08,
    "dose_sd": 0.04,
    "age": -0.01,
    "age_sd": 0.008,
    "warm_sd": 0.03,
    "first_shots": 2,
    "tail_sd": 0.2,
    # People and groups, each against the bar's average.
    "person_sd": 0.04,
    "group_sd": 0.03,
    # What an intervention or a jump does to the level.
    "cleaned_sd": 0.1,
    "re_zeroed_sd": 0.35,
    "new_burrs_sd": 0.35,
    "new_burrs_slope_sd": 0.02,
    "jump_sd": 0.08,
    # Shots that weigh less, as multiples of a plain shot's variance; grams that clear the old setting or bag.
    "after_change_noise": 4.0,
    "purged_g": 2.0,
    "mixed_noise": 2.0,
    "hopper_g": 150.0,
    "carried_noise": 4.0,
    # Watching residuals. A false alarm is wanted less than once in two days; the model's own alarms loosen its
    # level, so that once in ten serves the cup better. An absurd shot is off by more than e^0.5; a leap is more
    # steps than anyone moves.
    "look_sigma": 3.5,
    "absurd_ln": 0.5,
    "leap_steps": 12.0,
    "least_time_s": 5.0,
    "ewma_weight": 0.2,
    "days_per_alarm": 10.0,
    "chart_days_per_alarm": 3.0,
    # Deciding: steps at most, the grid where there are none, how near the best is as good.
    "most_steps": 3,
    "stepless_grid": 0.25,
    "near_best": 0.01,
    "far_chance": 0.2,
    "dose_nudge_g": 0.3,
    "gain": 0.15,
    "gain_signal": 0.05,
    "gain_off_centre": 0.06,
    "off_centre_sure": 0.9,
    "gain_dial_in": 0.05,
    "gain_morning": 0.05,
    "reached": 0.9,
    "leaning_share": 0.5,
}

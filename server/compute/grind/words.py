"""The sentences of the advice, once: the server fills them in, and the sheet carries them to the phone."""

import math

ADVICE = (
    "hold", "finer", "coarser", "more yield", "less yield", "hotter", "cooler", "move the target", "change bag",
    "check entry", "look at the prep", "purge and pull again", "check the machine", "check water", "too early to say",
)  # fmt: skip

REASONS = {
    "no_shots": "no pull of this grinder is on record yet",
    "no_time": "{entered} s can't be a shot's time: was it entered in minutes, or never taken?",
    "no_setting": "nobody wrote down where the grinder stands",
    "absurd": "{time_s} s is far from the {expected_s} s to expect of this grinder: a slip, or another grinder?",
    "leap": "setting {setting} is further from the last one than anyone moves: a slip, or another grinder?",
    "unusable": "the yield is too far from the recipe's to compare the time: stop at {yield_g} g and pull again",
    "channelling": "the puck channelled: this pull says nothing about the grind",
    "spill": "some was spilt: this pull says nothing about the grind",
    "wrong_dose": "the dose was wrong: this pull says nothing about the grind",
    "machine": "the machine was at fault: this pull says nothing about the grind",
    "interrupted": "the pull was interrupted: it says nothing about the grind",
    "look": "{time_s} s stands out by more than spread explains; one such pull moves nothing",
    "apart": "group {group} stands apart while another is as expected: not the grind",
    "old_grounds": "the first pull after a move still held grounds of the old setting",
    "past_window": "the bag is past its window: no grind brings it back",
    "resting": "the bag is still resting: its time will move by itself",
    "water": "the water needs a look first: it changes the taste of everything",
    "taste_right": "it tastes right, and taste outranks time",
    "taste_right_off": "it tastes right at about {expected_s} s: make that the target, if it stays so",
    "jump": "pulls have jumped: this is not spread",
    "drift": "pulls have been drifting: this is not spread",
    "off_centre": "the typical pull has moved to about {expected_s} s, {sure_pct} % sure",
    "gain": "the chance of landing in tolerance goes from {now_pct} to {then_pct} %",
    "expect": "about {expected_s} s, 8 in 10 within {low_s} to {high_s} s",
    "coarse_step": "one step jumps the whole tolerance: leave the grinder, change the dose by {dose_by_g} g",
    "one_shot": "one pull off is no reason to move: pull another",
    "again": "pull one more at this setting to be sure",
    "reached": "recipe reached: {pulls} pulls, {pulls_g} g",
    "steady": "{now_pct} % to land in tolerance; no single move is worth it",
    "start": "start at {setting}, expect {low_s} to {high_s} s",
}

DIGITS = {"_s": 0, "_pct": 0, "_g": 1}


def say(code: str, **values: float | str) -> str:
    """One sentence with its figures, rounded as a screen shows them.

    Parameters
    ----------
    code : str
        A key of `REASONS`.
    **values : float or str
        What the sentence needs, each in the unit of its name, any size. [unit in the name]

    Returns
    -------
    str
        Plain words.

    Raises
    ------
    Nothing

    Notes
    -----
    Seconds and percent without decimals, grams with one, settings with two. Convention of this app.

    Examples
    --------
    >>> say("start", setting=4.4000001, low_s=24.6, high_s=30.2)
    'start at 4.4, expect 25 to 30 s'
    """
    text = REASONS[code]
    for name, value in values.items():
        text = text.replace("{" + name + "}", value if isinstance(value, str) else _shown(name, value))
    return text


def _shown(name: str, value: float) -> str:
    digits = next((n for suffix, n in DIGITS.items() if name.endswith(suffix)), 2)
    rounded = math.floor(value * 10**digits + 0.5) / 10**digits
    return f"{rounded:.{digits}f}".rstrip("0").rstrip(".") if digits else f"{rounded:.0f}"

"""The simulated bar as a table.

    python -m tests.simulation.report [--bars 200] [--first 1000] [--truth A|B|A_LOGGED] [--jobs 2]

Bars 0 to 299 were used to choose the thresholds (truth A only); the table uses others.
"""

import argparse
from concurrent.futures import ProcessPoolExecutor
from itertools import chain
from statistics import median

import numpy as np

from tests.simulation.policies import RIVALS, Advised, OutOfTouch
from tests.simulation.run import Result, run
from tests.simulation.truth import A_LOGGED, DAYS, A, B, make

KINDS = {"A": A, "B": B, "A_LOGGED": A_LOGGED}
POLICIES = (*RIVALS, Advised, OutOfTouch)
NAMES = {
    "c": "(c) never",
    "a": "(a) after every off, by as much",
    "a1": "(a') after every off, one step",
    "b": "(b) one step after two offs",
    "us": "the advice",
    "offline": "the advice, two phones out of touch by day",
    "o": "(o) oracle",
}


def one_bar(kind: str, seed: int) -> dict[str, Result]:
    """Every policy through the same bar."""
    bar = make(KINDS[kind], seed)
    return {policy.key: run(bar, policy(bar)) for policy in POLICIES} | {"oracle_width": oracle_width(bar)}


def oracle_width(bar) -> float:
    """Width of the 80 % interval of one who knows the level, and not whose hands come next."""
    low, high = np.quantile(bar.extra, [0.1, 0.9])
    return float(high - low)


def many_bars(kind: str, seeds, jobs: int = 1) -> list[dict[str, Result]]:
    """All of them, on so many cores."""
    if jobs == 1:
        return [one_bar(kind, seed) for seed in seeds]
    with ProcessPoolExecutor(jobs) as pool:
        return list(pool.map(one_bar, [kind] * len(seeds), seeds, chunksize=5))


def mean_interval(values) -> tuple[float, float]:
    """Mean over bars, and half its 95 % interval."""
    values = np.asarray(list(values), float)
    return float(values.mean()), float(1.96 * values.std(ddof=1) / np.sqrt(len(values)))


def gap_closed(bars, figure, rival: str = "a", draws: int = 2000) -> tuple[float, float, float]:
    """Share of the gap between a rival and the oracle that the advice closes; 95 % interval by resampling bars."""
    us, them, best = (np.array([figure(bar[key]) for bar in bars]) for key in ("us", rival, "o"))
    picks = np.random.default_rng(1).integers(0, len(bars), (draws, len(bars)))
    shares = (us[picks].mean(1) - them[picks].mean(1)) / (best[picks].mean(1) - them[picks].mean(1))
    low, high = np.quantile(shares, [0.025, 0.975])
    return float((us.mean() - them.mean()) / (best.mean() - them.mean())), float(low), float(high)


def better_than(bars, figure, rival: str) -> tuple[float, float]:
    """Paired difference to a rival, advice minus rival, with half its 95 % interval."""
    return mean_interval(figure(bar["us"]) - figure(bar[rival]) for bar in bars)


def sunk(result: Result) -> float:
    return result.sunk_g_a_day


def landed(result: Result) -> float:
    return result.share_on_recipe


def all_of(bars, key, name):
    return list(chain.from_iterable(getattr(bar[key], name) for bar in bars))


def row(bars, key) -> str:
    """One policy's line of the table."""
    results = [bar[key] for bar in bars]
    (sunk_g, u_sunk), (share, u_share) = mean_interval(map(sunk, results)), mean_interval(map(landed, results))
    changes, u_changes = mean_interval(result.changes / DAYS for result in results)
    alarms, u_alarms = mean_interval(result.false_alarms / DAYS for result in results)
    dials = [dial_in for dial_in in all_of(bars, key, "dial_ins") if dial_in.pulls]
    pulls = [pulls_of(dials, known) for known in (False, True)]
    stopped = [dial_in for dial_in in dials if dial_in.stopped]
    true = f"{np.mean([d.true_at_stop for d in stopped]):.2f}" if stopped else "-"
    seen = [bar[key].seen_after[0] if bar[key].seen_after else float("inf") for bar in bars]
    return (
        f"| {NAMES[key]} | {sunk_g:.1f} ± {u_sunk:.1f} | {100 * share:.1f} ± {100 * u_share:.1f} | {changes:.2f} ± "
        f"{u_changes:.2f} | {alarms:.2f} ± {u_alarms:.2f} | {median(seen):.0f} ({np.mean(np.isfinite(seen)):.2f}) | "
        f"{' / '.join(pulls)} | {true} |"
    )


def pulls_of(dials, known_grinder: bool) -> str:
    """Median pulls until it stopped, and until the truth was in tolerance for good."""
    some = [dial_in for dial_in in dials if dial_in.known_grinder is known_grinder]
    if not some:
        return "-"
    stopped = median(d.pulls if d.stopped else float("inf") for d in some)
    return f"{stopped:.0f} ({median(d.pulls_until_true for d in some) + 1:.0f})"


def table(bars) -> list[str]:
    """The policies side by side."""
    head = (
        "| policy | sunk, g a day | on recipe, % | changes a day | false alarms a day | logged shots till a real shift "
        "is answered (share answered) | pulls to dial in, new / known grinder: till it stops (till true) | "
        "true at stop |"
    )
    return [head, "|---|---|---|---|---|---|---|---|", *(row(bars, key) for key in NAMES)]


def goals(bars) -> list[str]:
    """The goals beside what was reached."""
    lines = []
    for name, figure, scale in (("grams sunk", sunk, 1), ("share on recipe", landed, 100)):
        for rival in ("a", "a1"):
            share, low, high = gap_closed(bars, figure, rival)
            lines.append(f"gap closed between ({rival}) and (o), {name}: {share:.2f} ({low:.2f} to {high:.2f})")
        for rival in ("b", "a1"):
            diff, half = better_than(bars, figure, rival)
            lines.append(f"against ({rival}), {name}: {scale * diff:+.2f} ± {scale * half:.2f}")
    diffs = [np.mean([int(a) - int(b) for a, b in bar["us"].first_pulls]) for bar in bars]
    landed_first = [np.mean([pair[i] for pair in all_of(bars, "us", "first_pulls")]) for i in (0, 1)]
    diff, half = mean_interval(diffs)
    lines.append(
        f"first pull of the day in tolerance: {landed_first[0]:.3f}, from yesterday's setting {landed_first[1]:.3f}; "
        f"difference {diff:+.4f} ± {half:.4f}"
    )
    return [*lines, *coverage(bars), *offline(bars)]


def coverage(bars) -> list[str]:
    """How often the 80 % interval held the next logged shot."""
    pooled = np.mean(all_of(bars, "us", "covered"))
    each = [np.mean(bar["us"].covered) for bar in bars]
    inside = np.mean([0.7 <= share <= 0.9 for share in each])
    width, oracle = np.mean(all_of(bars, "us", "widths")), np.mean([bar["oracle_width"] for bar in bars])
    return [
        f"80 % interval: pooled coverage {100 * pooled:.1f} %, within 70 to 90 % in {inside:.2f} of bars, mean width "
        f"{100 * width:.1f} % of the time, the oracle's {100 * oracle:.1f} %"
    ]


def offline(bars) -> list[str]:
    """What a day offline costs."""
    said = []
    for name, figure, scale, unit in (("grams sunk", sunk, 1, "g a day"), ("on recipe", landed, 100, "points")):
        diff, half = mean_interval(scale * (figure(bar["offline"]) - figure(bar["us"])) for bar in bars)
        said.append(f"two phones out of touch by day against in touch, {name}: {diff:+.2f} ± {half:.2f} {unit}")
    looks, _ = mean_interval(bar["us"].looks / DAYS for bar in bars)
    return [*said, f"shots flagged to be looked at (which move nothing): {looks:.2f} a day"]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--bars", type=int, default=200)
    parser.add_argument("--first", type=int, default=1000)
    parser.add_argument("--truth", choices=KINDS, action="append")
    parser.add_argument("--jobs", type=int, default=2)
    asked = parser.parse_args()
    for kind in asked.truth or ("A", "B"):
        bars = many_bars(kind, range(asked.first, asked.first + asked.bars), asked.jobs)
        print(f"\nTruth {KINDS[kind].name}, {asked.bars} bars of {DAYS} days; ± is half the 95 % interval over bars\n")
        print("\n".join(table(bars)), "\n\n- " + "\n- ".join(goals(bars)), sep="")


if __name__ == "__main__":
    main()

"""Named unknowns, jointly normal, seen through shots whose spread is itself unknown: the algebra, nothing of coffee.

A normal inverse-gamma belief: given the variance of one shot's noise the unknowns are normal with
covariance `variance x cov`; the noise variance is inverse-gamma with `dof / 2` and `dof x variance / 2`.
Source: M. West and J. Harrison, Bayesian Forecasting and Dynamic Models, 2nd ed., Springer 1997,
section 4.5 (unknown observational variance), section 4.6 for the summary of the updating equations.
"""


class Belief:
    """What is believed of some named unknowns; made of plain lists, so that it travels as JSON."""

    # The variance of the noise is never believed more firmly than from this many shots: bars change.
    MOST_DOF = 120

    def __init__(self, names: list[str], mean: list[float], cov: list[list[float]], dof: int, variance: float):
        self.names, self.mean, self.cov = names, mean, cov
        self.dof, self.variance = dof, variance

    @classmethod
    def of(cls, plain: dict) -> "Belief":
        """A copy of a belief written down as plain values."""
        lines = [list(line) for line in plain["cov"]]
        return cls(list(plain["names"]), list(plain["mean"]), lines, plain["dof"], plain["variance"])

    def plain(self) -> dict:
        """The belief as plain values, for JSON."""
        return {
            "names": self.names,
            "mean": self.mean,
            "cov": self.cov,
            "dof": self.dof,
            "variance": self.variance,
        }

    def add(self, name: str, mean: float, sd: float, around: str | None = None) -> None:
        """A new unknown: `mean` away from another one, give or take `sd`; on its own where `around` is None."""
        near = self.names.index(around) if around else None
        joint = list(self.cov[near]) if around else [0.0] * len(self.names)
        own = (joint[near] if around else 0.0) + sd * sd / self.variance
        for line, shared in zip(self.cov, joint, strict=True):
            line.append(shared)
        self.cov.append([*joint, own])
        self.mean.append(mean + (self.mean[near] if around else 0.0))
        self.names.append(name)

    def drop(self, name: str) -> None:
        """Forget one unknown; what it taught about the others stays."""
        gone = self.names.index(name)
        del self.names[gone], self.mean[gone], self.cov[gone]
        for line in self.cov:
            del line[gone]

    def loosen(self, names: list[str], sd: float) -> None:
        """All of `names` may have moved together, by an amount that is zero give or take `sd`."""
        extra = sd * sd / self.variance
        places = [self.names.index(name) for name in names]
        for i in places:
            for j in places:
                self.cov[i][j] += extra

    def forecast(self, row: dict[str, float], noise: float = 1.0) -> tuple[float, float, list[float]]:
        """Mean of the sum of `row`'s unknowns; its variance in units of the noise; covariance with each unknown."""
        used = [(self.names.index(name), weight) for name, weight in row.items() if weight]
        mean = sum(self.mean[j] * weight for j, weight in used)
        shared = [sum(line[j] * weight for j, weight in used) for line in self.cov]
        return mean, sum(shared[j] * weight for j, weight in used) + noise, shared

    def learn(self, row: dict[str, float], seen: float, noise: float = 1.0) -> None:
        """Update on one observation of the sum of `row`'s unknowns, `noise` times as variable as a plain shot."""
        mean, spread, shared = self.forecast(row, noise)
        error = seen - mean
        for i, own in enumerate(shared):
            gain = own / spread
            self.mean[i] += gain * error
            self.cov[i] = [before - gain * other for before, other in zip(self.cov[i], shared, strict=True)]
        self.variance = (self.dof * self.variance + error * error / spread) / (self.dof + 1)
        self.dof = min(self.dof + 1, self.MOST_DOF)

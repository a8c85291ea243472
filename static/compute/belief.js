/**
 * The algebra under the advice: twin of server/compute/grind/belief.py and student_t.py, where the sources stand.
 */

const MOST_DOF = 120;

/** Named unknowns, jointly normal, seen through shots of unknown spread. */
export class Belief {
  constructor({ names, mean, cov, dof, variance }) {
    Object.assign(this, { names: [...names], mean: [...mean], cov: cov.map((line) => [...line]), dof, variance });
  }

  plain() {
    return { names: this.names, mean: this.mean, cov: this.cov, dof: this.dof, variance: this.variance };
  }

  add(name, mean, sd, around) {
    const near = around ? this.names.indexOf(around) : -1;
    const joint = around ? [...this.cov[near]] : this.names.map(() => 0);
    this.cov.forEach((line, i) => line.push(joint[i]));
    this.cov.push([...joint, (around ? joint[near] : 0) + (sd * sd) / this.variance]);
    this.mean.push(mean + (around ? this.mean[near] : 0));
    this.names.push(name);
  }

  drop(name) {
    const gone = this.names.indexOf(name);
    for (const list of [this.names, this.mean, this.cov, ...this.cov]) list.splice(gone, 1);
  }

  loosen(names, sd) {
    const places = names.map((name) => this.names.indexOf(name));
    for (const i of places) for (const j of places) this.cov[i][j] += (sd * sd) / this.variance;
  }

  forecast(row, noise) {
    const used = Object.entries(row).filter(([, weight]) => weight).map(([name, w]) => [this.names.indexOf(name), w]);
    const mean = used.reduce((sum, [j, w]) => sum + this.mean[j] * w, 0);
    const shared = this.cov.map((line) => used.reduce((sum, [j, w]) => sum + line[j] * w, 0));
    return { mean, shared, spread: used.reduce((sum, [j, w]) => sum + shared[j] * w, 0) + noise };
  }

  learn(row, seen, noise) {
    const { mean, shared, spread } = this.forecast(row, noise);
    const error = seen - mean;
    shared.forEach((own, i) => {
      const gain = own / spread;
      this.mean[i] += gain * error;
      this.cov[i] = this.cov[i].map((before, j) => before - gain * shared[j]);
    });
    this.variance = (this.dof * this.variance + (error * error) / spread) / (this.dof + 1);
    this.dof = Math.min(this.dof + 1, MOST_DOF);
  }
}

/** Chance that Student's t is at most `value`, for whole degrees of freedom. */
export function tCdf(value, dof) {
  const angle = Math.atan(value / Math.sqrt(dof));
  const cos2 = Math.cos(angle) ** 2, odd = dof % 2;
  let term = odd ? Math.cos(angle) : 1, total = dof > 1 ? term : 0;
  for (let k = 2 + odd; k < dof - 1; k += 2) total += term *= (cos2 * (k - 1)) / k;
  const inside = Math.sin(angle) * total;
  return 0.5 + (odd ? ((angle + inside) * 2) / Math.PI : inside) / 2;
}

/** The normal deviate with nearly the same tail as Student's t (Wallace 1959). */
export function asNormal(t, dof) {
  return (Math.sign(t) * Math.sqrt(dof * Math.log1p((t * t) / dof)) * (8 * dof + 1)) / (8 * dof + 3);
}

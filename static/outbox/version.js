/** What this client is, in every entry and every request. `APP` is the version in pyproject.toml (a test compares). */
export const APP = '0.1.0';
export const PROTOCOL = 1;

"""Water: what it tastes of, what it lays down in a boiler, what it does to metal, and how to make it better.

The way through: `units` and `ions` -> `sample` (what was measured) -> `analysis` (what had to be assumed)
-> `constants`, `activity`, `speciation` (what is there as what) -> `saturation` -> `report` (all of it)."""

"""Step 5 of 6: joins what is kept with what is computed: a record's figures, the sheet that phones carry, the
numbers on the dashboard. Reads the store, calls the computations, writes nothing."""

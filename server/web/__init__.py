"""The HTTP door: reads a request, asks the layers below, shapes the answer. No SQL, no sums."""

"""The computations as questions in JSON: one module each, used alike by `evenpull compute NAME`
and `POST /api/compute/NAME`. A question checks its request by schema and calls `server.compute`."""

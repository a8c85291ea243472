"""The NIST/SEMATECH e-Handbook's individuals and EWMA examples (doi:10.18434/M32189, sections 6.3.2.2 and 6.3.2.4),
entered as shots, read back with their time to target, and charted, all through the API."""

import datetime as dt
import math

import pytest

from tests.compute.grind.test_charts import EWMA, EWMA_Z, INDIVIDUALS, as_time_s, as_value

OPENED = dt.datetime(2026, 3, 2, 8, 0, tzinfo=dt.UTC)


@pytest.fixture
def times_read_back(manager, site_id):
    def enter(values):
        coffee = manager.add("coffees", name="Tarn Hollow")
        target = {"dose_g": 18.0, "yield_g": 36.0, "time_s": 30.0}
        recipe = manager.add("recipes", coffee_id=coffee["id"], method="espresso", **target)
        for minute, value in enumerate(values):
            at = (OPENED + dt.timedelta(minutes=minute)).isoformat()
            shot = {"dose_g": 18.0, "yield_g": 36.0, "time_s": as_time_s(value), "recipe_id": recipe["id"]}
            manager.add("shots", pulled_at=at, site_id=site_id, method="espresso", **shot)
        shots = manager.get("/api/shots", site_id=site_id, limit=100)["items"]
        return [shot["time_to_target_s"] for shot in sorted(shots, key=lambda shot: shot["pulled_at"])]

    return enter


def chart(manager, **asked):
    answer = manager.http.post("/api/compute/drift", json=asked)
    assert answer.status_code == 200, answer.json
    return answer.json


def test_the_individuals_example_comes_out_of_shots(manager, times_read_back):
    answer = chart(manager, times_s=times_read_back(INDIVIDUALS), baseline_n=10)

    found = [as_value(answer[key]) for key in ("center_s", "upper_s", "lower_s")]
    assert found == pytest.approx([50.81, 55.8041, 45.8159], abs=5e-5)


def test_the_ewma_example_comes_out_of_shots(manager, times_read_back):
    known = {"center_s": 30.0, "sigma_ln": 0.020539}
    answer = chart(manager, times_s=times_read_back(EWMA), baseline=known, ewma_weight=0.3, ewma_limit_sigma=3.0)

    assert [as_value(time_s) for time_s in answer["ewma"]] == pytest.approx(EWMA_Z, abs=0.005)
    assert as_value(answer["ewma_upper_s"]) == pytest.approx(52.5884, abs=1e-4)
    assert math.isclose(as_value(answer["ewma_lower_s"]), 47.41157, abs_tol=1e-4)
    assert answer["signals"] == []

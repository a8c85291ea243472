"""`blend`: how much of one water goes into another, and what comes of it."""

from marshmallow import fields
from marshmallow.validate import OneOf

from server.ask.question import Question
from server.ask.water import MachineFields, Range, WaterFields, WaterResponse, machine_settings, sample_of
from server.compute.errors import BadInput
from server.compute.water.blend import MIXES_LINEARLY, mix, share_for
from server.compute.water.checks import doubts
from server.compute.water.report import water_report
from server.fields import Quantity


class Wanted(fields.Field):
    """A figure to reach, or a range of it."""

    _one, _range = Quantity(0, 10000, ""), Range()

    def _deserialize(self, value, attr, data, **kwargs):
        if isinstance(value, dict):
            return self._range.load(value)
        return self._one.deserialize(value)


class BlendRequest(MachineFields):
    """Two waters, and either what the mix should have or how it is mixed. pH can't be a target: it follows."""

    first = fields.Nested(WaterFields, required=True)
    second = fields.Nested(WaterFields, required=True)
    target = fields.Dict(keys=fields.String(validate=OneOf(MIXES_LINEARLY)), values=Wanted())
    share_first = Quantity(0, 1, "", metadata={"description": "in place of target"})


class BlendResponse(WaterResponse):
    """The figures of the mix, as of any water."""

    share_first = fields.Float(metadata={"description": "volume of the first water in the mix"})
    misses = fields.List(fields.String())


def answer(asked: dict) -> dict:
    """Find the share, mix, and report the mix."""
    first, second = sample_of(asked, "first"), sample_of(asked, "second")
    if ("target" in asked) == ("share_first" in asked):
        raise BadInput("target", "give a target or share_first: one of the two")
    share, misses = asked.get("share_first"), []
    if share is None:
        share, misses = share_for(first, second, asked["target"])
    sample, analysis = mix(first, second, share)
    report = water_report(sample, analysis=analysis, **machine_settings(asked))
    parts = {"First": doubts(first), "Second": doubts(second)}
    told = [f"{which} water: {doubt}" for which, its in parts.items() for doubt in its]
    return {**report, "doubts": report["doubts"] + told, "share_first": share, "misses": misses}


QUESTIONS = (
    Question("blend", "The share of two waters that reaches a target", BlendRequest, BlendResponse, answer),
)

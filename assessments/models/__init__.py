"""What a cook makes and what is recorded about it."""

from assessments.models.batches import Batch, Stage
from assessments.models.events import Event
from assessments.models.readings import Instrument, ReadingSet
from assessments.models.scores import NotCounted, Part, Score
from assessments.models.sign_offs import Observation, Practice, Review, SignOff, Withdrawal

__all__ = [
    "Batch",
    "Event",
    "Instrument",
    "NotCounted",
    "Observation",
    "Part",
    "Practice",
    "ReadingSet",
    "Review",
    "Score",
    "SignOff",
    "Stage",
    "Withdrawal",
]

"""What a cook makes and what is recorded about it."""

from assessments.models.batches import Batch, Stage
from assessments.models.events import Event
from assessments.models.photographs import LeftOutStrand, Photograph
from assessments.models.readings import Instrument, ReadingSet
from assessments.models.scores import NotCounted, Part, Score
from assessments.models.sign_offs import Observation, Practice, Review, SignOff, Withdrawal
from assessments.models.trials import Trial

__all__ = [
    "Batch",
    "Event",
    "Instrument",
    "LeftOutStrand",
    "NotCounted",
    "Observation",
    "Part",
    "Photograph",
    "Practice",
    "ReadingSet",
    "Review",
    "Score",
    "SignOff",
    "Stage",
    "Trial",
    "Withdrawal",
]

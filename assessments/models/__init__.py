"""What a cook makes and what is recorded about it."""

from assessments.models.assessors import (
    BlindLook,
    CalibrationPiece,
    CalibrationRating,
    CalibrationSet,
    SecondLook,
)
from assessments.models.batches import Batch, Stage
from assessments.models.boil_tests import BoilTest
from assessments.models.drills import Drill
from assessments.models.events import Event
from assessments.models.patterns import BatchPatterns, FoundPattern, Tried
from assessments.models.photographs import LeftOutStrand, Photograph
from assessments.models.readings import Instrument, ReadingSet
from assessments.models.scores import NotCounted, Part, Score
from assessments.models.sign_offs import Observation, Practice, Review, SignOff, Withdrawal
from assessments.models.trials import Trial

__all__ = [
    "Batch",
    "BatchPatterns",
    "BlindLook",
    "BoilTest",
    "CalibrationPiece",
    "CalibrationRating",
    "CalibrationSet",
    "Drill",
    "Event",
    "FoundPattern",
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
    "SecondLook",
    "SignOff",
    "Stage",
    "Trial",
    "Tried",
    "Withdrawal",
]

"""The survey of a substrate: how flat and plumb it is for its tile, and the least work that brings it to one plane.

read = layout.survey.read_survey(data)     # raises RoomError, which names the place
result = layout.survey.survey(read)
text = layout.dumps(result.to_json())      # gaugerod-survey-result/1
"""

from layout.survey.assess import survey
from layout.survey.reading import Survey, SurveyLine, read_survey
from layout.survey.result import SurveyResult

__all__ = ["Survey", "SurveyLine", "SurveyResult", "read_survey", "survey"]

"""Surveys of a room's substrate: typed into a grid, judged by the engine, kept for good.

The page is one plain form that works without scripts, as the room's entry page: `state` is what stands in its fields,
`form` checks them, `filing` makes the survey file of them, `keeping` judges and keeps it, `shown` is what its page
says. `entering` has the page of a new one, for `views` and for checks that want readings.
"""

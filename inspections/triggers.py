"""What the database itself refuses: covering work that has not proved itself, and closing a job that isn't done.

Each trigger first locks the row that the decision hangs on, so that a failing entry and a sign-off, or a new punch
item and a closeout, can't pass each other. The functions are VOLATILE: after the lock each statement sees what the
other transaction committed.
"""

import pgtrigger

# A waiver stands for what had arrived by then: it is over where a failure came later.
_WAIVED = """
    EXISTS (
        SELECT 1 FROM inspections_waiver w
        WHERE w.check_waived_id = {check}.id AND NOT EXISTS (
            SELECT 1 FROM inspections_entry e
            WHERE e.check_done_id = w.check_waived_id AND e.outcome = 'fails' AND e.created_at > w.created_at
              AND {entry}))
"""

# From when on what passes a check `c` of the phase `p` counts: once those that come first are over, the phase before is
# signed where that is asked, and what failed since has begun anew. NULL: from the beginning.
_TURN = f"""
    SELECT max(moment) AS since FROM (
        SELECT CASE newest.outcome WHEN 'waiting' THEN newest.due_at WHEN 'holds' THEN newest.happened_at END AS moment
        FROM inspections_check prior
        CROSS JOIN LATERAL (
            SELECT e.outcome, e.due_at, e.happened_at FROM inspections_entry e
            WHERE e.check_done_id = prior.id ORDER BY e.happened_at DESC, e.id DESC LIMIT 1
        ) newest
        WHERE prior.phase_id = c.phase_id AND c.after @> to_jsonb(prior.key::text)
          AND NOT {_WAIVED.format(check="prior", entry="true")}
        UNION ALL
        SELECT e.happened_at
        FROM inspections_check failed JOIN inspections_entry e ON e.check_done_id = failed.id
        WHERE failed.phase_id = c.phase_id AND failed.restarts @> to_jsonb(c.key::text) AND e.outcome = 'fails'
          AND NOT EXISTS (SELECT 1 FROM inspections_waiver w
                          WHERE w.check_waived_id = failed.id AND w.created_at >= e.created_at)
        UNION ALL
        SELECT COALESCE(s.happened_at, 'infinity')
        FROM (SELECT b.id FROM inspections_phase b WHERE b.room_id = p.room_id AND b.position < p.position
              ORDER BY b.position DESC LIMIT 1) covered
        LEFT JOIN inspections_signoff s ON s.phase_id = covered.id
        WHERE c.in_turn
    ) moments
"""  # noqa: S608 -- put together from constants of this file


def _still_holds(phases: str) -> str:
    """A check that still holds one of the `phases` (a condition on `p`): asked for and not proved, or failed, or a wait
    that runs, or entered (a photo: taken) before its turn; and neither waived nor said anew. The newest entry by the
    phone's time counts, for each surface that the check is proved on apart the newest that speaks for it."""
    return f"""
        SELECT c.text
        FROM inspections_check c
        JOIN inspections_phase p ON p.id = c.phase_id
        CROSS JOIN LATERAL (
            SELECT surface -> 'key' AS key FROM jsonb_array_elements(c.surfaces) surface
            UNION ALL SELECT NULL WHERE c.surfaces = '[]'
        ) place
        LEFT JOIN LATERAL (
            SELECT e.outcome, e.due_at, LEAST(e.happened_at, photo.happened_at) AS shown_at
            FROM inspections_entry e LEFT JOIN jobs_photo photo ON photo.id = e.photo_id
            WHERE e.check_done_id = c.id AND (e.surfaces = '[]' OR e.surfaces @> place.key)
            ORDER BY e.happened_at DESC, e.id DESC LIMIT 1
        ) newest ON true
        CROSS JOIN LATERAL ({_TURN}) turn
        CROSS JOIN LATERAL (
            SELECT COALESCE(newest.outcome IN ('holds', 'waiting') AND newest.shown_at < turn.since, false) AS early
        ) counted
        WHERE {phases}
          AND (c.required OR newest.outcome IN ('fails', 'waiting') OR counted.early)
          AND NOT COALESCE(
                (newest.outcome = 'holds' OR (newest.outcome = 'waiting' AND newest.due_at <= now()))
                AND NOT counted.early, false)
          AND NOT {_WAIVED.format(check="c", entry="(e.surfaces = '[]' OR e.surfaces @> place.key)")}
          AND NOT EXISTS (SELECT 1 FROM inspections_saidanew a WHERE a.check_gone_id = c.id)
        ORDER BY p.position, c.position LIMIT 1
    """  # noqa: S608 -- put together from constants of this file


# This phase and those that it covers: what was entered after their sign-off holds it as well.
THIS_AND_BEFORE = """
    EXISTS (SELECT 1 FROM inspections_phase mine
            WHERE mine.id = NEW.phase_id AND p.room_id = mine.room_id AND p.position <= mine.position)
"""
OF_THE_JOB = "p.room_id IN (SELECT r.id FROM rooms_room r WHERE r.job_id = NEW.job_id)"


def _refuse_if_found(query: str, message: str, constraint: str) -> str:
    """Refuses the new row, by the name of a constraint, where `query` finds something; the message ends with that."""
    return f"""
        SELECT found.* INTO held FROM ({query}) found;
        IF FOUND THEN
            RAISE EXCEPTION '{message}: %', held USING ERRCODE = 'check_violation', CONSTRAINT = '{constraint}';
        END IF;
    """  # noqa: S608 -- put together from constants of this file


def _unsigned(phases: str) -> str:
    """The first of the `phases` (a condition on `p`) that isn't signed."""
    return f"""
        SELECT p.name FROM inspections_phase p
        WHERE {phases} AND NOT EXISTS (SELECT 1 FROM inspections_signoff s WHERE s.phase_id = p.id)
        ORDER BY p.position LIMIT 1
    """  # noqa: S608 -- put together from constants of this file


NOT_AT_ITS_PUNCH_LIST = "SELECT j.stage FROM jobs_job j WHERE j.id = NEW.job_id AND j.stage <> 'punch_list'"
OPEN_ITEM = "SELECT i.text FROM inspections_punchitem i WHERE i.job_id = NEW.job_id AND i.done_at IS NULL LIMIT 1"
LOCK_JOB = "PERFORM 1 FROM jobs_job j WHERE j.id = NEW.job_id FOR UPDATE;"
LOCK_PHASES = "PERFORM 1 FROM inspections_phase p WHERE {} ORDER BY p.id FOR UPDATE OF p;"

sign_off_only_when_proved = pgtrigger.Trigger(
    name="only_when_proved",
    when=pgtrigger.Before,
    operation=pgtrigger.Insert,
    declare=[("held", "text")],
    func=LOCK_PHASES.format(THIS_AND_BEFORE)
    + _refuse_if_found(
        _unsigned(f"p.id <> NEW.phase_id AND {THIS_AND_BEFORE}"),
        "the phase before it is not signed",
        "inspections_sign_off_in_turn",
    )
    + _refuse_if_found(_still_holds(THIS_AND_BEFORE), "held by", "inspections_sign_off_proved")
    + "RETURN NEW;",
)

entry_knows_whether_it_is_late = pgtrigger.Trigger(
    name="knows_whether_it_is_late",
    when=pgtrigger.Before,
    operation=pgtrigger.Insert,
    func="""
        PERFORM 1 FROM inspections_phase p JOIN inspections_check c ON c.phase_id = p.id
            WHERE c.id = NEW.check_done_id FOR SHARE OF p;
        NEW.late := EXISTS (
            SELECT 1 FROM inspections_signoff s JOIN inspections_check c ON c.phase_id = s.phase_id
            WHERE c.id = NEW.check_done_id);
        RETURN NEW;
    """,
)

# What a phase must prove is settled when it is signed; the sign-off waits for whoever adds to it, and they for it.
check_of_an_open_phase = pgtrigger.Trigger(
    name="of_an_open_phase",
    when=pgtrigger.Before,
    operation=pgtrigger.Insert,
    func="""
        PERFORM 1 FROM inspections_phase p WHERE p.id = NEW.phase_id FOR SHARE OF p;
        IF EXISTS (SELECT 1 FROM inspections_signoff s WHERE s.phase_id = NEW.phase_id) THEN
            RAISE EXCEPTION 'the phase is signed'
                USING ERRCODE = 'check_violation', CONSTRAINT = 'inspections_check_of_an_open_phase';
        END IF;
        RETURN NEW;
    """,
)

entry_names_surfaces_of_its_check = pgtrigger.Trigger(
    name="names_surfaces_of_its_check",
    when=pgtrigger.Before,
    operation=pgtrigger.Insert,
    func="""
        IF jsonb_typeof(NEW.surfaces) <> 'array' OR NOT NEW.surfaces <@ (
            SELECT COALESCE(jsonb_agg(surface -> 'key'), '[]')
            FROM inspections_check c, jsonb_array_elements(c.surfaces) surface
            WHERE c.id = NEW.check_done_id
        ) THEN
            RAISE EXCEPTION 'the check is not about this surface: %', NEW.surfaces
                USING ERRCODE = 'check_violation', CONSTRAINT = 'inspections_entry_names_surfaces_of_its_check';
        END IF;
        RETURN NEW;
    """,
)

# A sign-off never goes again: nothing has to be locked.
amendment_of_what_is_signed = pgtrigger.Trigger(
    name="of_what_is_signed",
    when=pgtrigger.Before,
    operation=pgtrigger.Insert,
    func="""
        IF NEW.entry_id IS NOT NULL AND NOT EXISTS (
            SELECT 1 FROM inspections_entry e
            JOIN inspections_check c ON c.id = e.check_done_id
            JOIN inspections_signoff s ON s.phase_id = c.phase_id
            WHERE e.id = NEW.entry_id
        ) THEN
            RAISE EXCEPTION 'correct it on the card instead: nothing is signed yet'
                USING ERRCODE = 'check_violation', CONSTRAINT = 'inspections_amendment_of_what_is_signed';
        END IF;
        RETURN NEW;
    """,
)

# A photo stays in its job, a check in its room, a place on a surface that the room has: without a room there is none.
# What comes after the sign-off says so; the phase is locked against a sign-off in between.
sorting_within_its_job = pgtrigger.Trigger(
    name="within_its_job",
    when=pgtrigger.Before,
    operation=pgtrigger.Insert,
    func="""
        IF NEW.room_id IS NOT NULL AND NOT EXISTS (
            SELECT 1 FROM jobs_photo p JOIN rooms_room r ON r.job_id = p.job_id
            WHERE p.id = NEW.photo_id AND r.id = NEW.room_id
        ) THEN
            RAISE EXCEPTION 'the room is of another job'
                USING ERRCODE = 'check_violation', CONSTRAINT = 'inspections_sorting_room_of_the_job';
        END IF;
        PERFORM 1 FROM inspections_phase p JOIN inspections_check c ON c.phase_id = p.id
            WHERE c.id = NEW.check_shown_id AND p.room_id = NEW.room_id FOR SHARE OF p;
        IF NEW.check_shown_id IS NOT NULL AND NOT FOUND THEN
            RAISE EXCEPTION 'the check is of another room'
                USING ERRCODE = 'check_violation', CONSTRAINT = 'inspections_sorting_check_of_the_room';
        END IF;
        IF NEW.surface <> '' AND NOT EXISTS (
            SELECT 1 FROM rooms_surface s WHERE s.room_id = NEW.room_id AND s.key = NEW.surface
        ) THEN
            RAISE EXCEPTION 'the room has no such surface'
                USING ERRCODE = 'check_violation', CONSTRAINT = 'inspections_sorting_surface_of_the_room';
        END IF;
        NEW.late := EXISTS (
            SELECT 1 FROM inspections_signoff s JOIN inspections_check c ON c.phase_id = s.phase_id
            WHERE c.id = NEW.check_shown_id);
        RETURN NEW;
    """,
)

# Written down and neither offered, withdrawn, declined nor approved; or offered, and without an answer.
OPEN_CHANGE = """
    SELECT o.number || ', ' || o.what FROM estimating_changeorder o
    WHERE o.job_id = NEW.job_id AND o.dropped_reason = ''
      AND NOT EXISTS (SELECT 1 FROM estimating_changeapproval a WHERE a.change_id = o.id)
      AND (NOT EXISTS (SELECT 1 FROM estimating_changeoffer f WHERE f.change_id = o.id)
           OR EXISTS (SELECT 1 FROM estimating_changeoffer f WHERE f.change_id = o.id
                      AND NOT EXISTS (SELECT 1 FROM estimating_changeend e WHERE e.offer_id = f.id)))
    ORDER BY o.number LIMIT 1
"""

closeout_only_when_done = pgtrigger.Trigger(
    name="only_when_done",
    when=pgtrigger.Before,
    operation=pgtrigger.Insert,
    declare=[("held", "text")],
    func=LOCK_JOB
    + _refuse_if_found(
        NOT_AT_ITS_PUNCH_LIST,
        "a job is closed out from its punch list, not from",
        "inspections_closeout_from_punch_list",
    )
    + LOCK_PHASES.format(OF_THE_JOB)
    + _refuse_if_found(_unsigned(OF_THE_JOB), "a phase is not signed", "inspections_closeout_phases_signed")
    + _refuse_if_found(
        _still_holds(OF_THE_JOB), "entered after the sign-off, and it holds", "inspections_closeout_phases_proved"
    )
    + _refuse_if_found(OPEN_ITEM, "a punch item is open", "inspections_closeout_punch_list_done")
    + _refuse_if_found(OPEN_CHANGE, "a change order is open", "inspections_closeout_changes_answered")
    + "RETURN NEW;",
)

# What was noted, where and by whom stays; only done and open again change.
punch_item_stays = pgtrigger.Protect(
    name="item_stays",
    operation=pgtrigger.UpdateOf("id", "job_id", "room_id", "text", "place", "photo_id", "opened_by_id", "created_at")
    | pgtrigger.Delete,
)

punch_list_ends_with_the_closeout = pgtrigger.Trigger(
    name="ends_with_the_closeout",
    when=pgtrigger.Before,
    operation=pgtrigger.Insert | pgtrigger.Update,
    func="""
        PERFORM 1 FROM jobs_job WHERE id = NEW.job_id FOR SHARE;
        IF EXISTS (SELECT 1 FROM inspections_closeout c WHERE c.job_id = NEW.job_id) THEN
            RAISE EXCEPTION 'the job is closed out: what comes now is a callback'
                USING ERRCODE = 'check_violation', CONSTRAINT = 'inspections_punch_item_before_closeout';
        END IF;
        RETURN NEW;
    """,
)

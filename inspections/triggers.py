"""What the database itself refuses: covering work that has not proved itself, and closing a job that isn't done.

Each trigger first locks the row that the decision hangs on, so that a failing entry and a sign-off, or a new punch
item and a closeout, can't pass each other. The functions are VOLATILE: after the lock each statement sees what the
other transaction committed.
"""

import pgtrigger


def _still_holds(phases: str) -> str:
    """A check that still holds one of the `phases` (a condition on `p`): asked for and not proved, or failed, or a wait
    that runs; and not waived. The newest entry by the phone's time counts."""
    return f"""
        SELECT c.text
        FROM inspections_check c
        JOIN inspections_phase p ON p.id = c.phase_id
        LEFT JOIN LATERAL (
            SELECT e.outcome, e.due_at FROM inspections_entry e
            WHERE e.check_done_id = c.id ORDER BY e.happened_at DESC, e.id DESC LIMIT 1
        ) newest ON true
        WHERE {phases}
          AND (c.required OR newest.outcome IN ('fails', 'waiting'))
          AND NOT COALESCE(
                newest.outcome = 'holds' OR (newest.outcome = 'waiting' AND newest.due_at <= now()), false)
          AND NOT EXISTS (SELECT 1 FROM inspections_waiver w WHERE w.check_waived_id = c.id)
        ORDER BY p.position, c.position LIMIT 1
    """  # noqa: S608 -- put together from constants of this file


# This phase and those that it covers: what was entered after their sign-off holds it as well.
THIS_AND_BEFORE = """
    EXISTS (SELECT 1 FROM inspections_phase mine
            WHERE mine.id = NEW.phase_id AND p.room_id = mine.room_id AND p.position <= mine.position)
"""
OF_THE_JOB = "p.room_id IN (SELECT r.id FROM rooms_room r WHERE r.job_id = NEW.job_id)"

sign_off_only_when_proved = pgtrigger.Trigger(
    name="only_when_proved",
    when=pgtrigger.Before,
    operation=pgtrigger.Insert,
    declare=[("held", "text")],
    func=f"""
        PERFORM 1 FROM inspections_phase p WHERE {THIS_AND_BEFORE} ORDER BY p.id FOR UPDATE OF p;
        SELECT p.name INTO held FROM inspections_phase p
            WHERE {THIS_AND_BEFORE} AND p.id <> NEW.phase_id
              AND NOT EXISTS (SELECT 1 FROM inspections_signoff s WHERE s.phase_id = p.id)
            ORDER BY p.position LIMIT 1;
        IF FOUND THEN
            RAISE EXCEPTION 'the phase before it is not signed: %', held
                USING ERRCODE = 'check_violation', CONSTRAINT = 'inspections_sign_off_in_turn';
        END IF;
        SELECT h.text INTO held FROM ({_still_holds(THIS_AND_BEFORE)}) h;
        IF FOUND THEN
            RAISE EXCEPTION 'held by: %', held
                USING ERRCODE = 'check_violation', CONSTRAINT = 'inspections_sign_off_proved';
        END IF;
        RETURN NEW;
    """,  # noqa: S608 -- put together from the constants above
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

closeout_only_when_done = pgtrigger.Trigger(
    name="only_when_done",
    when=pgtrigger.Before,
    operation=pgtrigger.Insert,
    declare=[("held", "text")],
    func=f"""
        SELECT j.stage INTO held FROM jobs_job j WHERE j.id = NEW.job_id FOR UPDATE;
        IF held IS DISTINCT FROM 'punch_list' THEN
            RAISE EXCEPTION 'a job is closed out from its punch list, not from %', held
                USING ERRCODE = 'check_violation', CONSTRAINT = 'inspections_closeout_from_punch_list';
        END IF;
        PERFORM 1 FROM inspections_phase p WHERE {OF_THE_JOB} ORDER BY p.id FOR UPDATE OF p;
        SELECT p.name INTO held FROM inspections_phase p
            WHERE {OF_THE_JOB} AND NOT EXISTS (SELECT 1 FROM inspections_signoff s WHERE s.phase_id = p.id)
            ORDER BY p.position LIMIT 1;
        IF FOUND THEN
            RAISE EXCEPTION 'a phase is not signed: %', held
                USING ERRCODE = 'check_violation', CONSTRAINT = 'inspections_closeout_phases_signed';
        END IF;
        SELECT h.text INTO held FROM ({_still_holds(OF_THE_JOB)}) h;
        IF FOUND THEN
            RAISE EXCEPTION 'entered after the sign-off, and it holds: %', held
                USING ERRCODE = 'check_violation', CONSTRAINT = 'inspections_closeout_phases_proved';
        END IF;
        SELECT i.text INTO held FROM inspections_punchitem i WHERE i.job_id = NEW.job_id AND i.done_at IS NULL LIMIT 1;
        IF FOUND THEN
            RAISE EXCEPTION 'a punch item is open: %', held
                USING ERRCODE = 'check_violation', CONSTRAINT = 'inspections_closeout_punch_list_done';
        END IF;
        RETURN NEW;
    """,  # noqa: S608 -- put together from the constants above
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

"""What the database itself refuses of callbacks and visits."""

import pgtrigger

callback_only_on_a_closed_job = pgtrigger.Trigger(
    name="only_on_a_closed_job",
    when=pgtrigger.Before,
    operation=pgtrigger.Insert,
    func="""
        IF NOT EXISTS (SELECT 1 FROM jobs_job WHERE id = NEW.job_id AND stage = 'closed') THEN
            RAISE EXCEPTION 'the job is not closed'
                USING ERRCODE = 'check_violation', CONSTRAINT = 'callbacks_callback_job_is_closed';
        END IF;
        RETURN NEW;
    """,
)

# What was found and what it cost is what the next job learns from: it isn't written anew afterward.
callback_closed_stays = pgtrigger.Protect(
    name="closed_stays", operation=pgtrigger.Update, condition=pgtrigger.Q(old__closed_at__isnull=False)
)

visit_is_of_its_job = pgtrigger.Trigger(
    name="is_of_its_job",
    when=pgtrigger.Before,
    operation=pgtrigger.Insert | pgtrigger.Update,
    func="""
        IF NOT EXISTS (
            SELECT 1 FROM jobs_booking b JOIN callbacks_callback c ON c.id = NEW.callback_id
            WHERE b.id = NEW.booking_id AND b.job_id = c.job_id AND b.kind = 'visit'
        ) THEN
            RAISE EXCEPTION 'the booking is no visit to the job of this callback'
                USING ERRCODE = 'check_violation', CONSTRAINT = 'callbacks_visit_is_of_its_job';
        END IF;
        RETURN NEW;
    """,
)

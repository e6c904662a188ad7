import importlib, io, time, traceback, contextlib, os
from pathlib import Path
from tests.journey.test_one_job_goes_the_whole_way import shop, seats
import tests.journey.seats as S, tests.journey.test_one_job_goes_the_whole_way as T

def test_repl(seats, worker):
    names = {**seats, "worker": worker}
    cmd, out = Path("/tmp/jr/cmd"), Path("/tmp/jr/out")
    while True:
        if cmd.exists():
            code = cmd.read_text(); cmd.unlink()
            if code.strip() == "quit": out.write_text("bye"); break
            buf = io.StringIO()
            with contextlib.redirect_stdout(buf):
                try:
                    importlib.reload(S)
                    for s in seats.values(): s.__class__ = S.Seat
                    importlib.reload(T); names.update({k: v for k, v in vars(T).items() if not k.startswith("__")}); names.update(seats); names["worker"] = worker; names["all_seats"] = seats
                    exec(code, names)
                except BaseException:
                    buf.write(traceback.format_exc()[-3500:])
            out.write_text(buf.getvalue() + "\n== done\n")
        time.sleep(0.1)

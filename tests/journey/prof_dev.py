import tests.journey.test_every_page_is_accessible as t
import time
from collections import defaultdict
from tests.journey.conftest import demo_shop
visits, judged = t.visits, t.judged
spent=defaultdict(float); per=defaultdict(list)
def test_it(visits, demo_shop):
    t.log_in(visits,demo_shop,"ines")
    for a in t.addresses(demo_shop):
        if t.DEAD_LINK in a.path or a.name=="shop:login": continue
        p=visits.page; p.set_viewport_size({"width":390,"height":844})
        x=time.monotonic()
        try: r=p.goto(demo_shop.url+a.path)
        except Exception: spent['err']+=time.monotonic()-x; continue
        y=time.monotonic(); spent['goto']+=y-x
        if r.status!=200 or "html" not in r.headers.get("content-type",""): continue
        p.evaluate(t.AXE_SCRIPT); z=time.monotonic(); spent['inject']+=z-y
        row=[round(y-x,2)]
        for w,h in t.WIDTHS.items():
            p.set_viewport_size({"width":w,"height":h}); u=time.monotonic(); p.evaluate(t.AXE); v=time.monotonic(); spent[f'axe{w}']+=v-u; row.append(round(v-u,2))
        per[a.name].append(row)
    print(dict(spent))
    for k,v in sorted(per.items(), key=lambda kv:-sum(map(sum,kv[1])))[:25]: print(k,v)

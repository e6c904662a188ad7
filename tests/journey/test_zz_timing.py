import tests.journey.test_every_page_is_accessible as t
import time
from collections import defaultdict
spent=defaultdict(float); per=defaultdict(list)
def visit(self,url,name,*,expected=200):
    a=time.monotonic()
    probe=self.page.request.get(url,max_redirects=0)
    kind = probe.headers.get("content-type", "").split(";")[0]
    b=time.monotonic(); spent['probe']+=b-a
    if probe.status!=200 or kind!="text/html": return
    self.page.set_viewport_size({"width":390,"height":844})
    self.page.goto(url); c=time.monotonic(); spent['goto']+=c-b
    self.page.evaluate(t.AXE_SCRIPT); d=time.monotonic(); spent['inject']+=d-c
    for w in (390,1280):
        self.page.set_viewport_size({"width":w,"height":900})
        d=time.monotonic(); f=self.page.evaluate(t.AXE); e=time.monotonic(); spent[f'axe{w}']+=e-d
        per[name].append(round(e-d,2))
        self.faults+=[f"{url} {w} {x}" for x in f+self.page.evaluate(t.TOO_WIDE)]
t.Visits.visit=visit
def test_it(visits, demo_shop):
    t.log_in(visits,demo_shop,"ines"); t.go_everywhere(visits,demo_shop)
    print(dict(spent)); 
    for k,v in sorted(per.items(), key=lambda kv:-sum(kv[1])): print(k,v)
    print("\n".join(visits.faults)); print(visits.console)
visits=t.visits
from tests.journey.conftest import demo_shop

package browsertest

import (
	"cmp"
	"os"
	"regexp"
	"strings"
	"testing"
)

// crooked gives what is wrong with a page at a width: what is wider than it, and
// texts that are cut.
const crooked = `(() => {
	scrollTo(0, 0);
	const out = [], title = document.querySelector("h1")?.getBoundingClientRect();
	if (!title || title.top < 0 || title.bottom > innerHeight) out.push("the title is not in sight");
	if (document.documentElement.scrollWidth > innerWidth) out.push("the page is " + document.documentElement.scrollWidth + " wide");
	if (document.querySelector("header").offsetHeight > 60) out.push("the header is more than one line");
	for (const e of document.querySelectorAll("main button, main a.button, main label, main th, main summary")) {
		if (e.checkVisibility() && e.scrollWidth > e.clientWidth + 1 && getComputedStyle(e).overflowX === "hidden") out.push("cut: " + e.textContent.trim().slice(0, 60));
	}
	for (const e of document.querySelectorAll("main :is(th, td, h1, h2, h3, button, a.button), header a")) {
		if (!e.checkVisibility() || e.closest(".hidden, .experience thead")) continue; // said, and not seen
		const texts = document.createTreeWalker(e, NodeFilter.SHOW_TEXT), line = document.createRange();
		for (let text = texts.nextNode(); text; text = texts.nextNode()) {
			for (const word of text.data.matchAll(/\p{L}{4,}/gu)) {
				line.setStart(text, word.index);
				line.setEnd(text, word.index + word[0].length);
				if (new Set([...line.getClientRects()].map((r) => Math.round(r.top))).size > 1) out.push("broken in the middle: " + word[0]);
			}
		}
	}
	return out;
})()`

// pages are those beside the bench, with who looks at them.
var pages = []struct {
	name, path string
	who        func(*day) *desk
}{
	{"board", "/", (*day).worker},
	{"board-checker", "/", (*day).checker},
	{"day", "/day", (*day).worker},
	{"start", "/start", (*day).releaser},
	{"practice", "/practice", (*day).worker},
	{"history", "/history", (*day).worker},
	{"waste", "/waste", (*day).worker},
	{"doses", "/doses", (*day).worker},
	{"parcels", "/parcels", (*day).worker},
	{"surveys", "/surveys", (*day).worker},
	{"bins", "/bins", (*day).worker},
	{"inventory", "/inventory", (*day).worker},
	{"persons", "/persons", (*day).physicist},
	{"shielding", "/shielding", (*day).physicist},
	{"plan", "/plan", (*day).worker},
	{"plan-setup", "/plan/setup", (*day).releaser},
	{"parcel-survey-form", "/hot-lab/enter/parcel-survey", (*day).worker},
	{"export", "/export", (*day).releaser},
	{"order-export", "/order/P1/export", (*day).administrator},
	{"settings", "/settings", (*day).physicist},
	{"meters", "/meters", (*day).physicist},
	{"instruments", "/instruments", (*day).physicist},
	{"instrument-form", "/instruments/enter/instrument", (*day).physicist},
	{"late-entry", "/paper", (*day).worker},
	{"settling-test", "/curve", (*day).worker},
	{"people", "/people", (*day).administrator},
	{"person", "/people/NT1", (*day).administrator},
	{"me", "/me", (*day).worker},
	{"health", "/health", (*day).worker},
	{"locked", "/pin", (*day).worker},
	{"order-form", "/day/enter/order", (*day).releaser},
	{"receipt-form", "/day/enter/receive", (*day).worker},
	{"working", "/order/P1/working", (*day).worker},
	{"correction", "/entry/23/correct", (*day).worker},
	{"screen", "/screen", (*day).worker},
	{"change", "/change", (*day).worker},
	{"drill", "", (*day).drilled},
	{"experience", "/experience", (*day).worker},
	{"change-two", "/change", (*day).secondHere},
}

func (y *day) administrator() *desk { return y.person("AD1") }
func (y *day) physicist() *desk     { return y.person("MP1") }

// secondHere is the worker's bench after another person has signed in at it too.
func (y *day) secondHere() *desk {
	d := y.worker()
	d.goTo("/sign-in?other=yes")
	d.fill("sign-in", "id", "RP2")
	d.fill("sign-in", "password", "practice laboratory only")
	d.send("sign-in")
	return d
}

// drilled is where a trainee answers a drill.
func (y *day) drilled() *desk {
	d := y.person("RP2")
	d.goTo("/practice")
	d.send("drill-territories-swapped")
	return d
}

// TestPages: the pages beside the bench fit a desk and a phone.
func TestPages(t *testing.T) {
	y := begin(t, keys{})
	for _, s := range theDay[:4] { // so that there is something on them
		s.do(y)
	}
	for _, p := range pages {
		d := p.who(y)
		path := cmp.Or(p.path, d.location())
		if r := d.goTo(path); r.Status != 200 {
			t.Errorf("%s: %d", path, r.Status)
			continue
		}
		d.atEachSize("page-"+p.name, crooked)
	}
	out := sit(t, y.base, "nobody", keys{})
	out.goTo("/sign-in")
	out.atEachSize("page-sign-in", crooked)
}

// filled are pages of the site that are looked at with a quarter of invented entries on them,
// with the name of each in the list of what is wrong in it.
var filled = map[string]string{"parcels": "parcels", "surveys": "surveys", "bins": "waste", "persons": "persons", "inventory": "inventory", "instruments": "none"}

// seeded is a fault of the quarter in docs/practice.md: its page, and what is to be read there.
var seeded = regexp.MustCompile("(?m)^\\| ([a-z]+) \\| `(.+)` \\|$")

// TestFilledPages: the pages of the site fit a desk and a phone with an invented quarter,
// with its faults, and 20 invented preparations on them, the header stays one line, the
// forms are within the first two screens of a desk, and each fault of the quarter can be
// read on its page when what is folded is opened.
func TestFilledPages(t *testing.T) {
	doc, err := os.ReadFile("../../docs/practice.md")
	if err != nil {
		t.Fatal(err)
	}
	_, list, _ := strings.Cut(string(doc), "## The invented quarter")
	faults := seeded.FindAllStringSubmatch(list, -1)
	d, read := signedIn(t, open(t, "--past", "20"), "MP1", keys{}), 0
	for page, name := range filled {
		if r := d.goTo("/" + page); r.Status != 200 {
			t.Fatalf("%s: %d", page, r.Status)
		}
		d.atEachSize("filled-"+page, crooked)
		if page == "inventory" {
			d.renew(page)
		}
		if at := ask[int](d, `Math.round(document.querySelector(".links a")?.getBoundingClientRect().top ?? 0)`); page != "instruments" && (at == 0 || at > 1600) {
			t.Errorf("%s: the first form lies at %d", page, at)
		}
		text := ask[string](d, `(document.querySelectorAll("main details").forEach(x => x.open = true), document.querySelector("main").innerText)`)
		for _, f := range faults {
			switch {
			case f[1] != name:
			case strings.Contains(text, strings.ReplaceAll(f[2], "cm2", "cm²")):
				read++
			default:
				t.Errorf("%s: %q cannot be read", page, f[2])
			}
		}
	}
	if read < 20 || read != len(faults) {
		t.Errorf("%d of %d faults were read", read, len(faults))
	}
}

// TestReceipt: a vial is received by keys, and stands on the board with its
// volume.
func TestReceipt(t *testing.T) {
	y := begin(t, keys{})
	d := y.worker()
	d.goTo("/day/enter/receive")
	for _, f := range [][2]string{{"vial", "S7"}, {"lot", "PRACTICE-7"}, {"labelled", "3.0"}, {"reference", y.reference.Format("2006-01-02T15:04")}, {"volume", "5.0"}} {
		d.fill("receive", "p0."+f[0], f[1])
	}
	d.pick("receive", "p0.labelled.unit", "GBq")
	if r := d.send("receive"); r.Status != 200 {
		t.Fatalf("%d:\n%s", r.Status, d.text("main"))
	}
	d.says("#notices", "recorded")
	d.goTo("/")
	for _, want := range []string{"S7", "5 mL"} {
		d.says("main", want)
	}
	d.goTo("/history")
	d.says("#history", "PRACTICE-7")
}

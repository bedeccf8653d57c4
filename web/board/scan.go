package board

import (
	"net/http"
	"net/url"
	"slices"
	"strings"
	"unicode/utf8"

	"vialwright/fact"
	"vialwright/identity"
	"vialwright/people"
	"vialwright/procedure"
	"vialwright/web/books"
	"vialwright/web/kit"
	"vialwright/web/words"
)

// scanDo finds what was scanned. A label leads to the dose it is on, with the
// scan in the field that asks for it; a pack to the vial it came as, or to its
// receipt; an identifier to its order. Nothing is recorded.
func scanDo(q *request) error {
	back := kit.Local(q.R.URL.Query().Get("back"))
	raw := q.R.PostForm.Get("raw")
	if strings.TrimSpace(raw) == "" {
		return q.See(back)
	}
	scan := identity.Read(raw, q.Now.Year())
	switch scan.Kind {
	case identity.Label:
		to, err := q.labelled(scan.Serial)
		if err != nil {
			return err
		}
		if to != "" {
			return q.See(to)
		}
		return q.unknown(back, raw, "no dose of this laboratory has the label "+scan.Serial.String(), "do not use the item with this label until you know what it is")
	case identity.GS1:
		if scan.GTIN != "" || scan.Lot != "" || scan.Number != "" {
			return q.pack(scan, back)
		}
	}
	if to := q.worn(strings.TrimSpace(raw)); to != "" {
		return q.See(to)
	}
	if st, x := q.vial(strings.TrimSpace(raw), back); x != nil {
		return q.vialFound(st, x, raw, back)
	}
	text := "this is no label of this program, no vial, no code of a pack that can be read, and no identifier of an order: " + quoted(raw)
	if scan.Problem != nil {
		text += " (" + scan.Problem.Msg + ")"
	}
	return q.unknown(back, raw, text, "scan it once more, or type what is printed on it into the form that asks for it")
}

// quoted is what a scanner sent, cut and without control characters.
func quoted(raw string) string {
	clean := strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7F {
			return '·'
		}
		return r
	}, raw)
	if runes := []rune(clean); len(runes) > 80 {
		clean = string(runes[:80]) + " …"
	}
	return "“" + clean + "”"
}

// unknown refuses a scan, which stays in the record as a near miss. What was
// scanned may name a person, and is kept only where it is a label or a pack.
func (q *request) unknown(back, raw, text, hint string) error {
	order := books.MissedAt(q.Request, back)
	scanned, what := books.ShownScan(raw, q.Now), "a scan that is not known here"
	if scanned == "" {
		what += ", of " + words.Plural(utf8.RuneCountInString(raw), "character")
	}
	books.NearMiss(q.Request, fact.NearMiss{For: order, What: what, Scanned: scanned})
	return &kit.Refusal{Status: http.StatusNotFound, Heading: "Not known", Text: text, Hint: hint, Back: back}
}

// states are the cases that are not over, the newest first, and each as it
// stands; one that cannot be reckoned is left out.
func (q *request) states() []*kit.State {
	var out []*kit.State
	for _, f := range q.OpenFiles(q.Now) {
		if st, err := q.Reckon(f, q.Now); err == nil {
			out = append(out, st)
		}
	}
	return out
}

// labelled finds the dose of a label. The scan is put into the form of its step
// where that asks for one.
func (q *request) labelled(serial identity.Serial) (to string, err error) {
	l, ok := q.Lab.Label(serial.String())
	if !ok {
		return "", nil
	}
	order := l.For
	st, err := q.Reckon(q.Lab.File(order), q.Now)
	if err != nil {
		return "", err
	}
	p := st.Preparation(order)
	at := slices.IndexFunc(p.Labels, func(l procedure.Printed) bool { return l.Serial == serial })
	if at < 0 {
		return "", nil
	}
	if why := p.Labels[at].Void; why != "" {
		books.NearMiss(q.Request, fact.NearMiss{For: order, What: "the label scanned is void: " + why, Scanned: serial.String()})
		return "", &kit.Refusal{Status: http.StatusConflict, Heading: "This label is void", Text: why, Hint: "do not use the item with this label; print a new label", Back: kit.OrderHref(order)}
	}
	b, _ := books.BenchOf(q.Request, st, order)
	if step, ok := p.Current(); ok && (step.Key == procedure.Release || step.Key == procedure.HandOver) {
		if err := q.prefill(b.Href()+"/step/"+string(step.Key), url.Values{kit.Control(0, "serial"): {serial.String()}}); err != nil {
			return "", err
		}
	}
	q.Say(kit.SaidScanned, "Label "+serial.String()+" is on "+p.Labels[at].Of+", for "+order+".")
	return b.Href(), nil
}

// worn finds the order of an identifier among the cases that are not over.
func (q *request) worn(identifier string) string {
	for _, st := range q.states() {
		for _, p := range st.Preparations() {
			if p.Expect.Patient == identifier && identifier != "" && !p.Over() {
				return kit.OrderHref(p.Order)
			}
		}
	}
	return ""
}

// pack leads to the vial that came in a pack; one that has not come in yet to
// its receipt, with what the code says.
func (q *request) pack(scan identity.Scan, back string) error {
	text := books.Elements(scan)
	for _, e := range q.Lab.Receipts(text) {
		if x, ok := e.Fact.(*fact.Receive); ok && x.Pack == text {
			return q.vialFound(q.stateAt(back), x, text, back)
		}
	}
	if err := people.May(q.Who.Person, people.ReceiveVial); err != nil {
		return err
	}
	typed := url.Values{}
	for path, value := range map[string]string{"lot": scan.Lot, "expiry": expiry(scan), "pack": text} {
		if value != "" {
			typed.Set(kit.Control(0, path), value)
		}
	}
	to, action := entering+"receive", entering+"receive"
	if strings.HasPrefix(back, "/order/") {
		to, action = back, back+"/step/"+string(procedure.Receipt)
	}
	if err := q.prefill(action, typed); err != nil {
		return err
	}
	says := "The pack says " + text + ". It is filled in below; fill in the rest from the label."
	if scan.Problem != nil {
		says = "Not all of the pack's code could be read (" + scan.Problem.Msg + "). It says " + quoted(scan.Raw) + "."
	}
	q.Say(kit.SaidScanned, says)
	return q.See(to)
}

// vial finds a received vial by its id: in the case that the scan came from,
// else in the newest one that is not over. nil where there is none.
func (q *request) vial(id, back string) (*kit.State, *fact.Receive) {
	for _, e := range q.Lab.Receipts(id) {
		if x, ok := e.Fact.(*fact.Receive); ok && strings.EqualFold(x.Vial, id) {
			return q.stateAt(back), x
		}
	}
	return nil, nil
}

// stateAt works out the order of the page that a scan came from; nil for none.
func (q *request) stateAt(back string) *kit.State {
	f, ok := q.OrderFile(books.MissedAt(q.Request, back))
	if !ok {
		return nil
	}
	st, err := q.Reckon(f, q.Now)
	if err != nil {
		return nil
	}
	return st
}

// vialFound says which vial was scanned. At a bench where the draw is due, it is
// in the form of the draw.
func (q *request) vialFound(st *kit.State, x *fact.Receive, raw, back string) error {
	q.Say(kit.SaidScanned, "This is "+x.Vial+", lot "+x.Lot+", received.")
	if st == nil {
		return q.See("/")
	}
	for _, o := range st.Case.Orders {
		b, _ := books.BenchOf(q.Request, st, o.ID)
		step, ok := b.Prep.Current()
		if back != b.Href() && !strings.HasPrefix(back, b.Href()+"/") || !ok || step.Key != procedure.Draw {
			continue
		}
		if err := q.prefill(b.Href()+"/step/"+string(procedure.Draw), url.Values{kit.Control(0, "scanned"): {raw}}); err != nil {
			return err
		}
		return q.See(b.Href())
	}
	return q.See("/")
}

// expiry is the day of expiry as a time begins. The hour is left to the person:
// where the code has one it does not say in which zone.
func expiry(scan identity.Scan) string {
	day := scan.Expiry
	if day.IsZero() {
		day = scan.ExpiryClock.Date
	}
	if day.IsZero() {
		return ""
	}
	return day.String() + "T"
}

// prefill keeps values as if they had been typed into a form, beside what was
// typed there.
func (q *request) prefill(action string, values url.Values) error {
	typed := q.ToFill(action)
	for name, value := range values {
		typed[name] = value
	}
	return q.KeepDraft(action, typed, false)
}

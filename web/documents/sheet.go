package documents

import (
	"net/http"
	"strings"

	"vialwright/fact"
	"vialwright/paper"
	"vialwright/web/books"
	"vialwright/web/kit"
	"vialwright/web/words"
)

func sheetPDF(q *request) error {
	order, _ := strings.CutSuffix(q.R.PathValue("file"), ".pdf")
	f, ok := q.OrderFile(order)
	if !ok {
		return kit.NoOrder()
	}
	st, err := q.Reckon(f, q.Now)
	if err != nil {
		return err
	}
	if q.BlindAnywhere(st) {
		return &kit.Refusal{Status: http.StatusForbidden, Heading: "Blind", Text: "you may do the second check of one of these doses, and the sheet would show you the first figures", Hint: "do the check first, or let another person do this", Back: "/"}
	}
	b, ok := books.BenchOf(q.Request, st, order)
	if !ok {
		return &kit.Refusal{Status: http.StatusNotFound, Heading: "There is no such sheet", Text: "no order has this id", Hint: "go to the board", Back: "/"}
	}
	return books.SendSheet(q.Request, "sheet-"+order+".pdf", q.sheetOf(b), nil)
}

func (q *request) sheetOf(b *books.Bench) paper.Sheet {
	rec := Record(q.Request, b.State)
	rec.Patient, rec.Second = b.Prep.Expect.Patient, b.Prep.Expect.Second
	return paper.FromResult(b.Case, b.Result, b.Order.ID, rec)
}

// Record is the record of a case as it is printed.
func Record(q *kit.Request, st *kit.State) paper.Record {
	out := paper.Record{Software: q.Version, Made: q.Now}
	f := q.Lab.Remarked(st.File)
	sheets := kit.Papers(f)
	for _, r := range f.Records {
		n, hash := r.N, q.Lab.Hash(r.N).String()
		out.Head = hash
		if fact.IsSetting(r.Fact) {
			continue
		}
		if q.HidesCheck(st, r) {
			out.Hides = append(out.Hides, n)
		}
		who, acts := words.Signatures(r)
		for k, act := range acts {
			out.Signatures = append(out.Signatures, paper.Signature{Who: q.NameAt(who[k], n), At: r.Recorded, Meaning: act.Meaning(), Hash: hash[:16], Entry: n})
		}
		e := paper.Entry{
			Number: n, At: fact.At(r.Fact), Recorded: r.Recorded, Who: q.NameAt(r.By, n), Text: Full(q.Shown(st, r), st.Zone),
			Step: paper.Step(fact.KindOf(r.Fact).Sheet), Names: fact.Names(r.Fact),
		}
		_, e.Order = r.Fact.(*fact.Order)
		if e.At.IsZero() {
			e.At = r.Recorded
		}
		if p := sheets[n]; p != nil {
			e.Text += "; " + kit.FromPaper(p, r, st.Zone)
		}
		if c, ok := r.Fact.(*fact.Correct); ok {
			e.Corrects, e.Reason = c.Entry, c.Reason
		}
		out.Entries = append(out.Entries, e)
	}
	return out
}

// Full is a fact in one line with all its figures.
func Full(f fact.Fact, z words.Zoned) string {
	text := fact.KindOf(f).Past
	fields := words.PairsOf(words.WithSources(f, words.Held(f), false), z)
	if x, ok := f.(*fact.SettlingTest); ok {
		fields = words.CurvePairs(x, z)
	}
	for _, p := range fields {
		text += ", " + words.Inside(p.Name) + " " + p.Value
	}
	return text
}

func blankPDF(q *request) error {
	st, err := q.Reckon(q.Lab.File(), q.Now) // by hand one goes by the half-life that the site does
	if err != nil {
		return err
	}
	hl := st.Case.HalfLife
	sheet, err := paper.BlankSheet(paper.Day{Zone: q.Location(), HalfLife: hl.Value, Source: hl.Source})
	return books.SendSheet(q.Request, "blank.pdf", sheet, err)
}

package witness

import (
	"fmt"
	"maps"
	"slices"
	"time"

	"vialwright/journal"
)

// Journal is a journal that was verified.
type Journal struct {
	// Site is the name of the site; empty where it is not known.
	Site     string
	Practice bool
	// Records is how many there are; Hash gives the hash of one of them by its
	// number, from 1.
	Records uint64
	Hash    func(n uint64) journal.Hash
	Store   Store
}

// Told is a note with where it was found. Signed is false for what was noted
// beside the journal.
type Told struct {
	Place  string
	Note   Note
	Signed bool
}

// Fault is what does not agree, and what to do.
type Fault struct {
	Code, Place string
	// Stop is true where nothing may be recorded.
	Stop      bool
	Msg, Hint string
}

// Error gives the place, what is wrong, and the way out.
func (f *Fault) Error() string { return f.Says() + "; " + f.Hint }

// Says gives the place and what is wrong.
func (f *Fault) Says() string {
	if f.Place != "" {
		return f.Place + ": " + f.Msg
	}
	return f.Msg
}

// judging holds what the rules share.
type judging struct {
	Journal
	// resumed is the newest note with which somebody let recording go on.
	resumed Note
	// agrees is the newest number at which a note agrees with the journal.
	agrees uint64
	faults []Fault
}

// Judge compares a journal with what was noted of it, and gives the faults, those
// that stop recording first. Notes that contradict the journal and are older than
// one with which somebody let recording go on are passed over; Resumptions
// lists them.
func Judge(j Journal, told []Told) []Fault {
	g := judging{Journal: j}
	for _, t := range told {
		if n := t.Note; n.ResumedBy != "" && t.Signed && g.Holds(n) && n.At.After(g.resumed.At) {
			g.resumed = n
		}
	}
	for _, t := range told {
		if g.Holds(t.Note) {
			g.agrees = max(g.agrees, t.Note.Head.Seq)
		}
	}
	// What tells most is the last note of what is missing, and the first of what
	// was changed.
	var missing, changed *Told
	for i, t := range told {
		switch n := t.Note; {
		case g.Holds(n) || !n.At.After(g.resumed.At):
		case g.ahead(n) && (missing == nil || n.Head.Seq > missing.Note.Head.Seq):
			missing = &told[i]
		case !g.ahead(n) && (changed == nil || n.Head.Seq < changed.Note.Head.Seq):
			changed = &told[i]
		}
	}
	for _, t := range []*Told{missing, changed} {
		if t != nil {
			g.contradicted(*t)
		}
	}
	g.disagreeing(told)
	g.behind(told)
	return g.faults // what does not stop comes last
}

// Holds tells that a note agrees with the journal.
func (j Journal) Holds(n Note) bool {
	return n.Head.Seq <= j.Records && j.sameUse(n) &&
		(n.Head.Seq == 0 || j.Hash(n.Head.Seq) == n.Head.Hash && j.Hash(1) == n.First)
}

func (j Journal) sameUse(n Note) bool { return j.Records == 0 || n.Practice == j.Practice }

// ahead tells that a note is of more records than there are.
func (g *judging) ahead(n Note) bool { return n.Head.Seq > g.Records }

const (
	whatToDo = "work on paper, keep this journal as it is, and compare it with the newest copy; when it is known what happened, 'vialwright resume' lets recording go on, under a name and with a reason"
	minute   = "2006-01-02 15:04 MST"
)

// contradicted says what happened to the journal since a note that does not
// agree with it was made.
func (g *judging) contradicted(t Told) {
	n := t.Note
	noted := fmt.Sprintf("noted on %s", n.At.Format(minute))
	missing := fmt.Sprintf("record %d, %s, is missing", n.Head.Seq, noted)
	if n.Head.Seq > g.Records+1 {
		missing = fmt.Sprintf("records %d to %d are missing; there were %d, %s", g.Records+1, n.Head.Seq, n.Head.Seq, noted)
	}
	s := g.Store
	comparable, tables := s.Engine == n.Store.Engine, s.Line != n.Store.Line
	code, msg := "", ""
	switch {
	case !g.sameUse(n):
		code, msg = "mixed-use", "the journal is for "+use(g.Practice)+", and what was noted of it for "+use(n.Practice)+": the two were exchanged"
	case g.Records == 0:
		code, msg = "emptied", fmt.Sprintf("the journal holds no record, and there were %d, %s: it was emptied, or a new one lies in its place", n.Head.Seq, noted)
	case g.Hash(1) != n.First:
		code, msg = "another-journal", "the first record is not the one that was "+noted+": another journal lies in its place, or all of it was rewritten"
	case !g.ahead(n):
		code, msg = "rewritten", g.rewritten(n, noted)
	case comparable && s.Engine == "postgres" && s.ID != n.Store.ID:
		code, msg = "older-copy", missing+". The journal lies in another database than then: an older copy of it was put there"
	case comparable && s.Engine == "postgres" && s.Line > n.Store.Line:
		code, msg = "failover", missing+". Another server took over since, and did not have them: look for them on the server that was in use before"
	case comparable && s.Engine == "postgres" && s.Count < n.Store.Count:
		code, msg = "older-copy", missing+". The server stands at an earlier position than then: an older copy of the whole server was put back"
	case comparable && s.Engine == "sqlite" && !tables:
		code, msg = "older-copy", missing+". The tables were not touched: an older copy of the file was put back, or the -wal file beside it was lost or damaged"
	default:
		code, msg = "cut-off", missing+": they were taken off the end of the journal"
	}
	if !slices.ContainsFunc(g.faults, func(f Fault) bool { return f.Code == code }) {
		g.faults = append(g.faults, Fault{code, t.Place, true, msg, whatToDo})
	}
}

func use(practice bool) string {
	if practice {
		return "practice"
	}
	return "patients"
}

// rewritten says between which records something was changed.
func (g *judging) rewritten(n Note, noted string) string {
	from := uint64(1)
	if g.agrees < n.Head.Seq {
		from = g.agrees + 1
	}
	which := fmt.Sprintf("one of the records %d to %d was changed after that, and the hashes computed again", from, n.Head.Seq)
	if from == n.Head.Seq {
		which = fmt.Sprintf("record %d was changed after that, and the hashes computed again", from)
	}
	msg := fmt.Sprintf("the hash of record %d is not the one that was %s: %s", n.Head.Seq, noted, which)
	if g.Store.Engine == "postgres" && n.Store.Engine == "postgres" && g.Store.Line > n.Store.Line {
		msg += ", or a standby server without these records took over and recording went on there"
	}
	return msg
}

// disagreeing looks for two signed notes that cannot both be true of one journal.
func (g *judging) disagreeing(told []Told) {
	at := map[uint64]Told{}
	for _, t := range told {
		if !t.Signed || !t.Note.At.After(g.resumed.At) {
			continue
		}
		other, ok := at[t.Note.Head.Seq]
		if ok && other.Note.Head.Hash != t.Note.Head.Hash {
			g.disagree(t, other)
			return
		}
		at[t.Note.Head.Seq] = t
	}
	for _, t := range told {
		if t.Signed && t.Note.At.After(g.resumed.At) && !g.Holds(t.Note) && t.Note.Head.Seq < g.agrees && g.sameUse(t.Note) {
			i := slices.IndexFunc(told, func(o Told) bool { return o.Signed && g.Holds(o.Note) && o.Note.Head.Seq > t.Note.Head.Seq })
			if i >= 0 {
				g.disagree(t, told[i])
				return
			}
		}
	}
}

func (g *judging) disagree(a, b Told) {
	say := func(t Told) string {
		agrees := "the journal does not agree with it"
		if g.Holds(t.Note) {
			agrees = "the journal agrees with it"
		}
		return fmt.Sprintf("%s has record %d with the hash %s, noted on %s (%s)", t.Place, t.Note.Head.Seq, Digits(t.Note.Head.Hash, 12), t.Note.At.Format(minute), agrees)
	}
	g.faults = append(g.faults, Fault{
		"witnesses-disagree", "", true, "two notes with the signature of this site tell of different journals: " + say(a) + "; " + say(b),
		"find out which of the two the site worked with, and whether the signing key is used for two journals; " + whatToDo,
	})
}

// behind names places whose newest note is older than another's.
func (g *judging) behind(told []Told) {
	newest := map[string]Note{}
	var all Note
	for _, t := range told {
		if !t.Signed || !g.Holds(t.Note) {
			continue
		}
		if t.Note.Head.Seq >= newest[t.Place].Head.Seq {
			newest[t.Place] = t.Note
		}
		if t.Note.Head.Seq > all.Head.Seq {
			all = t.Note
		}
	}
	for _, place := range slices.Sorted(maps.Keys(newest)) {
		if n := newest[place]; n.Head.Seq < all.Head.Seq {
			g.faults = append(g.faults, Fault{
				"behind", place, false, fmt.Sprintf("the newest note there is of record %d, another place has one of record %d", n.Head.Seq, all.Head.Seq),
				"look whether the place could be reached since " + n.At.Format(minute) + ", and whether notes were taken away there",
			})
		}
	}
}

// Resumptions gives the notes with which somebody let recording go on after a
// loss, the oldest first.
func Resumptions(told []Told) (out []Note) {
	for _, t := range told {
		if t.Signed && t.Note.ResumedBy != "" && !slices.ContainsFunc(out, func(n Note) bool { return n == t.Note }) {
			out = append(out, t.Note)
		}
	}
	slices.SortFunc(out, func(a, b Note) int { return a.At.Compare(b.At) })
	return out
}

// Newest is the newest signed note, by its number; false where there is none.
func Newest(told []Told) (n Note, ok bool) {
	for _, t := range told {
		if t.Signed && (!ok || t.Note.Head.Seq > n.Head.Seq || t.Note.Head.Seq == n.Head.Seq && t.Note.At.After(n.At)) {
			n, ok = t.Note, true
		}
	}
	return n, ok
}

// Standing is how a place does that notes are sent to.
type Standing struct {
	Place string
	// Last is the newest note that is known to be there; zero where none is.
	Last Note
	// Since is from when on the place takes nothing, and Why what it said; zero and
	// empty where it does.
	Since time.Time
	Why   string
	// Waiting is how many notes wait for it.
	Waiting int
}

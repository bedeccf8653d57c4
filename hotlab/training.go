package hotlab

import (
	"slices"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/journal"
)

// Trainings are what persons were trained in, by id, the oldest first.
type Trainings map[string][]fact.Training

// TrainingsOf reads them from entries in force.
func TrainingsOf(entries []fold.Entry) Trainings {
	out := Trainings{}
	for _, e := range entries {
		if t, ok := e.Fact.(*fact.Training); ok {
			out[t.Who] = append(out[t.Who], *t)
		}
	}
	for _, all := range out {
		slices.SortStableFunc(all, func(a, b fact.Training) int { return a.At.Compare(b.At) })
	}
	return out
}

// Of are the trainings of a person that count at a time: the newest in each subject.
func (t Trainings) Of(who string, at time.Time) (out []fact.Training) {
	for _, x := range t[who] {
		if !x.At.After(at) {
			out = slices.DeleteFunc(out, func(y fact.Training) bool { return y.In == x.In })
			out = append(out, x)
		}
	}
	return out
}

// Lapsed is a training of a person that had run out at a time; false for none. Who never was
// trained here in anything has nothing that can run out.
func (t Trainings) Lapsed(who string, at time.Time) (fact.Training, bool) {
	all := t.Of(who, at)
	if i := slices.IndexFunc(all, func(x fact.Training) bool { return !x.Until.IsZero() && at.After(x.Until) }); i >= 0 {
		return all[i], true
	}
	return fact.Training{}, false
}

// NeedsTraining tells of an entry that a person whose training has lapsed makes it beside a
// supervisor only. A remark, and what went wrong, anybody reports; the training of another
// person is entered by anybody who may, so that a site is never locked out; accounts and
// practice are no work.
func NeedsTraining(by string, f fact.Fact) bool {
	switch x := f.(type) {
	case *fact.Correct:
		return x.With == nil || NeedsTraining(by, x.With)
	case *fact.Training:
		return x.Who == by
	}
	return !fact.Is(f, fact.Told|fact.Practice|fact.Account)
}

// lapsed looks for entries that persons made alone after a training had run out.
func (r *reader) lapsed(all Trainings) {
	type found struct{ who, in string }
	said := map[found]bool{}
	for _, d := range r.Deeds {
		t, lapsed := all.Lapsed(d.By, d.At)
		if !lapsed || d.Supervised || !d.Needs || d.At.After(r.At) || said[found{d.By, t.In}] {
			continue
		}
		said[found{d.By, t.In}] = true
		r.find(Finding{Code: TrainingLapsed, Severity: dispensing.Warn, Page: Persons, About: d.By, Do: "Train the person again; until then a supervisor signs beside them."},
			"%s entered a %s on %s, and the training in %s held until %s", d.By, d.Kind, r.clock(d.At), t.In, r.clock(t.Until))
	}
}

// DeedsOf are who recorded what in records, with what was supervised; what is private to a
// person is named by that alone.
func DeedsOf(all ...[]journal.Record) (out []Deed) {
	supervised := map[int]bool{}
	for _, records := range all {
		for _, r := range records {
			if s, ok := r.Fact.(*fact.Supervised); ok {
				for n := s.First; n <= s.Last; n++ {
					supervised[n] = true
				}
			}
		}
	}
	for _, records := range all {
		for _, r := range records {
			kind := fact.Word(r.Fact)
			if fact.Private(r.Fact) {
				kind = "private entry"
			}
			out = append(out, Deed{By: r.By, At: r.Recorded, Kind: kind, Supervised: supervised[r.N], Needs: NeedsTraining(r.By, r.Fact)})
		}
	}
	slices.SortStableFunc(out, func(a, b Deed) int { return a.At.Compare(b.At) })
	return out
}

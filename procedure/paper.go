package procedure

import (
	"slices"

	"vialwright/fact"
	"vialwright/people"
)

// marked notes at each entry that was made from a sheet of paper who wrote the sheet, and at
// each that was supervised who stood by. The last that speaks of an entry holds.
func marked(list []entry) {
	for _, e := range list {
		first, last, _ := fact.Marked(e.fact)
		for i := range list {
			if n := list[i].n; n < first || last < n {
				continue
			}
			switch x := e.fact.(type) {
			case *fact.Paper:
				list[i].wrote = x.By
			case *fact.Supervised:
				list[i].beside = x.By
			}
		}
	}
}

// FromPaper says whether a person may enter from a sheet of paper what its
// writer did there under an act. What the writer signed with ink another may
// copy out, but not sign: so what is signed here is entered by who did it. It
// refuses, in this order:
//
//	what [people.May] refuses of the act
//	[CodeNoWriter]   the person who wrote the sheet is not named
//	[CodeNotWriter]  the act is signed, and another person wrote the sheet
func FromPaper(p people.Person, a people.Act, writer string) error {
	if err := people.May(p, a); err != nil {
		return err
	}
	switch {
	case writer == "":
		return refuse(CodeNoWriter, "the person who wrote the sheet is not named", "give the id of who wrote it")
	case a.Meaning() != "" && writer != p.ID:
		return refuse(CodeNotWriter, "this is signed, and "+writer+" wrote the sheet", "the person who signed it on the sheet enters it, in a session of their own")
	}
	return nil
}

// MayStep asks for a step, and where writer is not empty whether the person may
// enter it from the sheet of paper that writer wrote. That the dose is outside its
// time now is no reason against what was done then; it is asked again with the
// time on the sheet.
func MayStep(p people.Person, step Key, prep Preparation, writer string) error {
	err := Permit(p, step, prep, prep.Deeds)
	if writer == "" {
		return err
	}
	if e, ok := err.(*Error); ok {
		outside := e.Code == CodeHeld && prep.Holds[0].Code == OutsideWindow
		if e.Code != CodeWindow && !outside {
			return err
		}
	} else if err != nil {
		return err
	}
	return FromPaper(p, step.Act(), writer)
}

// MaySupervise says whether a person may stand by while another, whose training has lapsed,
// makes entries about a dose, whose preparation is given. It refuses, in this order:
//
//	what [people.May] refuses of supervise
//	[people.CodeOwnWork]  the entry is a second check, and they did some of the work
func MaySupervise(p people.Person, f fact.Fact, prep Preparation) error {
	if err := people.May(p, people.Supervise); err != nil {
		return err
	}
	own := func(d people.Deed) bool { return d.By == p.ID && people.IsWork(d) }
	if _, check := f.(*fact.SecondCheck); check && slices.ContainsFunc(prep.Deeds, own) {
		return &people.Error{Code: people.CodeOwnWork, Msg: p.Name + " worked on this dose, and would stand by while it is checked", Hint: "a person who neither read nor drew for it supervises the check"}
	}
	return nil
}
